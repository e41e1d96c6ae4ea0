"""What a brief has taught, from its trial book and its opened sessions. Shown to the conductor only."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Final

import pandas as pd

from evaluation.actions import formulas
from evaluation.actions.opened import held_of
from evaluation.counting.profiles import ratings_held
from evaluation.counting.questions import Held, on_medium
from evaluation.deciding import taught
from evaluation.deciding.evidence import Evidence
from evaluation.deciding.named_changes import pairs_to_know, ways
from evaluation.deciding.taught import Taught
from evaluation.kinds import kind_of
from evaluation.sessions import SKIN, STRIP, Medium
from evaluation.store import Notebook
from evaluation.values.scales import POINTS, of_families

MEDIA: Final[tuple[Medium, ...]] = (STRIP, SKIN)


def brief_taught(notebook: Notebook, seen: Evidence) -> Taught:
    """What each named change did, over the sessions of this evidence that were rated: opened ones, and no other."""
    rated = [one.session_id for one in seen.sessions if kind_of(one.method).rates]
    if not rated:
        return Taught((), {})
    found = ways(seen, formulas.between_all(notebook, pairs_to_know(seen)))
    with notebook.reading() as tx:
        held = {one: held_of(tx, one) for one in rated}  # refuses what is not opened
        trial_of = tx.bottles.trials({bottle for one in held.values() for bottle in one.plan.trial_ids})
    return taught.taught(found, _by_medium(held), trial_of)


def _by_medium(held: Mapping[str, Held]) -> dict[Medium, pd.DataFrame]:
    """Strip and skin answer different questions and are never pooled."""
    found: dict[Medium, pd.DataFrame] = {}
    for medium in MEDIA:
        parts = list(_ratings(held, medium))
        if parts:
            found[medium] = _in_order(pd.concat(parts, ignore_index=True))
    return found


def _in_order(rows: pd.DataFrame) -> pd.DataFrame:
    """Descriptors as the plans have them, sessions as they were opened."""
    kept = {name: pd.Categorical(rows[name], categories=rows[name].unique()) for name in ("descriptor", "session")}
    return rows.assign(**kept)


def _ratings(held: Mapping[str, Held], medium: Medium) -> Iterator[pd.DataFrame]:
    """Points that count, by person and bottle: what the sealed rule of a session leaves out stays out."""
    for session_id, one in held.items():
        if medium not in one.plan.media:
            continue
        people = [ballot.panelist_id for ballot in one.ballots if ballot.panelist_id is not None]
        known = replace(on_medium(one, medium), aliases={each: each for each in people})  # the same in all sessions
        rows = ratings_held(known, one.plan.trial_ids)
        rows = rows[rows["counted"] & rows["scale"].isin(of_families(POINTS))]
        person = [who if who in people else f"{session_id} {who}" for who in rows["panelist"]]
        yield pd.DataFrame({
            "panelist": person, "session": session_id, "bottle": rows["trial"].astype(str),
            "descriptor": rows["descriptor"].astype(str), "age_minutes": rows["age_minutes"], "rating": rows["rating"],
        })  # fmt: skip
