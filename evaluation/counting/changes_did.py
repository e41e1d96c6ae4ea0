"""What each of several changes did, from the ratings of a session whose bottles separate them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import pandas as pd

from evaluation import statistics
from evaluation.counting.shown_ages import stretches
from evaluation.kinds import Separation
from evaluation.kinds.separation import analysed_by
from evaluation.sessions import Plan
from evaluation.statistics import EffectsOfChanges


def effects_found(
    plan: Plan, separation: Separation, names: tuple[str, ...], rows: pd.DataFrame, level: float
) -> EffectsOfChanges | None:
    """The sealed analysis: by person from six planned people on, else by pairs; None where nobody rated anything."""
    rated = rows.dropna(subset=["rating"])
    if rated.empty:
        return None
    columns = tuple(f"change {at}" for at in range(len(separation.changes)))  # never called as a column of ratings is
    held = dict(zip(names, separation.made, strict=True))
    made = [[int(digit) for digit in held[one]] for one in rated["trial"].astype(str)]
    frame = rated[["panelist", "descriptor", "age_minutes", "rating"]].reset_index(drop=True)
    frame[list(columns)] = pd.DataFrame(made, index=frame.index)
    by = analysed_by(plan.people)
    found = statistics.effects_of_changes(frame, columns, separation.interactions, by, level=level)
    called = dict(zip(columns, separation.changes, strict=True))
    effect = found.table["effect"].map(lambda one: ":".join(called[part] for part in one.split(":")))
    return replace(found, changes=separation.changes, table=found.table.assign(effect=effect))


# --- what the changes did ---------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Did:
    """One effect on one descriptor, in one direction, at ages that follow each other, as the family shows it.

    ``estimates`` at those ages in points, ``p_family`` the largest of theirs.
    """

    effect: str
    descriptor: str
    ages: tuple[float, ...]
    estimates: tuple[float, ...]
    p_family: float

    @property
    def up(self) -> bool:
        """The change brings more of it."""
        return self.estimates[0] > 0


def what_was_done(found: EffectsOfChanges, alpha: float, effect: str) -> tuple[Did, ...]:
    """What the family shows of one effect, descriptor by descriptor, by age."""
    own = found.table[found.table["effect"] == effect]
    return tuple(one for _, rows in own.groupby("descriptor", sort=False) for one in _runs(rows, alpha))


def reach(found: EffectsOfChanges, effect: str, without: tuple[str, ...] = ()) -> float | None:
    """How far the intervals of an effect reach from 0, descriptors named left out; None where none ends."""
    own = found.table[(found.table["effect"] == effect) & found.table["in_family"]]
    own = own[~own["descriptor"].isin(without)]
    return None if own.empty else float(own[["low", "high"]].abs().to_numpy().max())


def _runs(rows: pd.DataFrame, alpha: float) -> Iterator[Did]:
    """Ages side by side at which the effect is shown in one direction."""
    ordered = rows.sort_values("age_minutes")
    for start, end in stretches(ordered, "estimate", alpha):
        own = ordered.iloc[start:end]
        about = (str(own["effect"].iloc[0]), str(own["descriptor"].iloc[0]))
        numbers = (tuple(own["age_minutes"].tolist()), tuple(own["estimate"].tolist()))
        yield Did(*about, *numbers, float(own["p_family"].max()))
