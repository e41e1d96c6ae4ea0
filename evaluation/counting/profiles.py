"""From a profile's plan, servings, key and answers to ratings, and what these show: nothing beyond the sealed plan.

Every rating of points the plan asked for - descriptors on a line or in categories, strength, liking - at every age and
between every two trials makes the one family; words to check, levels and whatever else is counted have families of
their own (``COUNTED``). "Not smelt" and "skip" are no ratings and are counted apart; the warm-up strip never counts.
Strip and skin are kept apart (:func:`evaluation.counting.questions.on_medium`).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache
from itertools import combinations
from typing import Any, Final

import pandas as pd

from evaluation import statistics
from evaluation.counting.changes_did import effects_found
from evaluation.counting.questions import Held, smelt
from evaluation.counting.shown_ages import stretches
from evaluation.errors import StateError
from evaluation.kinds import Separation
from evaluation.serving.asking import LIKING_NAME, RATE, STRENGTH_NAME, rated
from evaluation.sessions import INDEPENDENT, TRIAL_LETTERS, Medium, Plan, Serving
from evaluation.statistics import (
    CheckAll,
    Decay,
    EffectsOfChanges,
    JustAboutRight,
    PanelistPerformance,
    ProfileDifferences,
    ProfileModel,
)
from evaluation.statistics.dry_down.typical import between, refusal, subsets
from evaluation.statistics.laws.signflip import FEWEST_PEOPLE
from evaluation.values.scales import NOT_SMELT, POINTS, SKIPPED, ByScale, counted_families, of_families, scale_of

MIDDLE: Final = 5.0  # of a line of 0 … 10: the threshold of strength shown first; a reading, sealed nowhere
COLUMNS: Final = (
    "panelist", "trial", "descriptor", "age_minutes", "replicate", "rating", "scale", "said", "seat", "deviations",
    "counted",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Came:
    """What became of the strips planned at one age, and of the ratings on those that came in.

    ``left_out``: (kind, strips), each strip under one kind. ``not_smelt``, ``skipped`` and ``apart`` - (answer, how
    many) of other answers that are no number - are of the counted strips.
    """

    age_minutes: float
    planned: int
    came_in: int
    counted: int
    left_out: tuple[tuple[str, int], ...]
    ratings: int
    not_smelt: int
    skipped: int
    apart: tuple[tuple[str, int], ...] = field(default=(), metadata={"later": True})


@dataclass(frozen=True, eq=False)
class ProfileFound:
    """What one profile found on one medium. The parts are computed when they are first asked for, and then kept.

    ``rows`` holds one row for each answer, ``COLUMNS``: ``rating`` is what the scale counts it as (points, 0/1 of words
    to check, -1/0/1 of levels), and missing where ``said`` is "not smelt", "skip" or the like; ``counted`` is False
    where the sealed rule leaves the strip out.
    """

    plan: Plan
    names: tuple[str, ...]  # of the trials, in the order of the plan
    rows: pd.DataFrame
    came: tuple[Came, ...]

    @property
    def medium(self) -> Medium:
        """The one medium these ratings were given on."""
        return self.plan.media[0]

    @property
    def alpha(self) -> float:
        """The sealed risk, of the whole family."""
        return float(self.plan.alpha)

    @property
    def level(self) -> float:
        """Confidence of each interval by itself."""
        return 1.0 - self.alpha

    @property
    def ages(self) -> tuple[float, ...]:
        """All times planned, in minutes."""
        return tuple(age.minutes for age in self.plan.ages)

    @property
    def reduced(self) -> bool:
        """True where the sealed rule left something out, so that both ways are shown."""
        return not bool(self.rows["counted"].all())

    @property
    def pairs(self) -> tuple[tuple[str, str], ...]:
        """Every two trials, the later one second: differences are second − first."""
        return tuple(combinations(self.names, 2))

    def words(self, family: str) -> tuple[str, ...]:
        """What was rated on scales of this family, in the order of the plan; strength and liking are on points."""
        return tuple(one.name for one in rated(self.plan) if one.scale in of_families(family))

    def ratings(self, *families: str, everything: bool = False) -> pd.DataFrame:
        """The rows on scales of these families that count; ``everything``: also those the sealed rule leaves out."""
        kept = self.rows["scale"].isin(of_families(*families))
        return self.rows[kept if everything else kept & self.rows["counted"]]

    @cached_property
    def differences(self) -> ProfileDifferences | None:
        """The family of the sealed analysis; None where no two trials were rated on points."""
        return self._family(self.ratings(POINTS))

    @cached_property
    def all_differences(self) -> ProfileDifferences | None:
        """The same with the answers the sealed rule leaves out; None also where it leaves none out."""
        return self._family(self.ratings(POINTS, everything=True)) if self.reduced else None

    @property
    def separation(self) -> Separation | None:
        """What its bottles separate; None where its trials are compared with one another."""
        return self.plan.design.separation

    @cached_property
    def effects(self) -> EffectsOfChanges | None:
        """What each separated change did: then the sealed analysis in the place of differences between trials."""
        return self._effects(self.ratings(POINTS))

    @cached_property
    def all_effects(self) -> EffectsOfChanges | None:
        """The same with the answers the sealed rule leaves out; None also where it leaves none out."""
        return self._effects(self.ratings(POINTS, everything=True)) if self.reduced else None

    def _effects(self, rows: pd.DataFrame) -> EffectsOfChanges | None:
        own = self.separation
        return None if own is None else effects_found(self.plan, own, self.names, rows, self.level)

    @property
    def has_model(self) -> bool:
        """Whether there is a mixed model, without working it out; where changes are separated effects are told."""
        if self.separation is not None:
            return False
        rows = self.ratings(POINTS)
        return _several(rows, "trial") and _several(rows, "panelist")

    @cached_property
    def model(self) -> ProfileModel | None:
        """The mixed model of each rating on points; None where one trial or one person is all there is.

        People may differ in how they see each age too (``random="full"``): without that, age effects came out false
        in .30 of profiles at .05. A rating of fewer than six people has F and no p, since nothing is tested there.
        """
        if not self.has_model:
            return None
        rows = self.ratings(POINTS)
        return _untested(statistics.profile_model(rows, random="full"), rows)

    @cached_property
    def decay(self) -> Decay | None:
        """How strength falls, at the middle of the scale; None where strength was not asked, or nobody rated it."""
        return self.decay_at(MIDDLE)

    def decay_at(self, threshold: float) -> Decay | None:
        """The same at another threshold; nothing where changes are separated: no two bottles are compared there."""
        if self.separation is not None:
            return None
        rows = self.ratings(POINTS)
        rows = rows[rows["descriptor"] == STRENGTH_NAME]
        if rows["rating"].isna().all():
            return None
        return statistics.decay(rows, descriptor=STRENGTH_NAME, threshold=threshold, level=self.level)

    @cached_property
    def counted(self) -> Mapping[str, Any]:
        """By family that is counted, what its answers show; none of a family that was not asked, or nobody answered."""
        rows = {family: self.ratings(family) for family in counted_families()}
        return {
            family: COUNTED.of(family).find(own, self) for family, own in rows.items() if not own["rating"].isna().all()
        }

    @property
    def others_asked(self) -> bool:
        """True where something was answered that is no points."""
        return not self.ratings(*counted_families()).empty

    @property
    def has_people(self) -> bool:
        """Whether anything can be said of how people use the scale, without working it out."""
        return bool(self._scaled()["rating"].notna().any())

    @cached_property
    def people(self) -> PanelistPerformance | None:
        """How each person uses the scale; strength counts, liking does not: nobody likes rightly or wrongly."""
        return statistics.panelist_performance(self._scaled(), alpha=self.alpha) if self.has_people else None

    def _scaled(self) -> pd.DataFrame:
        rows = self.ratings(POINTS)
        return rows[rows["descriptor"] != LIKING_NAME]

    def _family(self, rows: pd.DataFrame) -> ProfileDifferences | None:
        if self.separation is not None:
            return None
        there = set(rows["trial"])
        pairs = [pair for pair in self.pairs if there.issuperset(pair)]
        apart = self.plan.draw == INDEPENDENT
        return statistics.profile_family(rows, pairs, level=self.level, exchanged=apart) if pairs else None


def _untested(model: ProfileModel, rows: pd.DataFrame) -> ProfileModel:
    """The model without the p-values of what too few people rated to test anything."""
    people = rows[rows["rating"].notna()].groupby("descriptor", observed=True)["panelist"].nunique()
    enough = model.table["descriptor"].map(people).fillna(0) >= FEWEST_PEOPLE
    return replace(model, table=model.table.assign(p_value=model.table["p_value"].where(enough)))


def profile_found(held: Held, names: tuple[str, ...] = ()) -> ProfileFound:
    """What an opened profile found; ``names`` of its trials in the order of the plan, their letters if none are given.

    A session on strip and skin comes in two parts, see :func:`evaluation.counting.questions.on_medium`.
    """
    plan = held.plan
    if not plan.kind.rates or len(plan.media) > 1:
        raise StateError("What a profile found needs the answers of a profile, on one medium.")
    called = _distinct(names or tuple(TRIAL_LETTERS[: len(plan.trial_ids)]))
    rows = ratings_held(held, called)
    return ProfileFound(plan, called, rows, tuple(_came(held, rows, age.seconds) for age in plan.ages))


def ratings_held(held: Held, names: tuple[str, ...]) -> pd.DataFrame:
    """Every rating of a real strip, one row each; columns ``COLUMNS``, sorted by age, seat and order of smelling."""
    known = _Known.of(held, names)
    listed = [row for serving in _real(held) for row in _rows_of(held, serving, known)]
    frame = pd.DataFrame(listed, columns=list(COLUMNS))
    words = [one.name for one in rated(held.plan)]
    frame["trial"] = pd.Categorical(frame["trial"], categories=list(names))
    frame["descriptor"] = pd.Categorical(frame["descriptor"], categories=words)
    return frame.astype({"rating": float, "age_minutes": float, "counted": bool})


@dataclass(frozen=True, slots=True)
class _Known:
    """What is looked up again and again while rows are made."""

    given: Mapping[str, Mapping[str, str]]  # serving id → name of what was rated → value
    trials: Mapping[str, str]  # serving id → name of the trial
    people: Mapping[int, str]
    scales: Mapping[str, str]

    @staticmethod
    def of(held: Held, names: tuple[str, ...]) -> _Known:
        given: dict[str, dict[str, str]] = {}
        for one in held.answers:
            if one.question.startswith(RATE):
                given.setdefault(one.serving_id, {})[one.question.removeprefix(RATE)] = one.value
        letters = dict(zip(TRIAL_LETTERS, names, strict=False))
        return _Known(
            given,
            {serving: letters[order] for serving, order in held.key.orders if order in letters},
            dict(zip((b.seat for b in held.ballots), _distinct(tuple(map(held.name_at, _seats(held)))), strict=True)),
            {one.name: one.scale for one in rated(held.plan)},
        )


def _seats(held: Held) -> list[int]:
    return [ballot.seat for ballot in held.ballots]


def _real(held: Held) -> list[Serving]:
    """Strips that count, by age, seat and place: the warm-up is none of them."""
    real = [one for one in smelt(held.servings) if not one.warm_up]
    return sorted(real, key=lambda one: (one.age_seconds, one.seat, one.place))


def _rows_of(held: Held, serving: Serving, known: _Known) -> Iterator[tuple[Any, ...]]:
    noted = _noted(held, serving)
    counted = not any(kind in held.plan.set_apart for kind in noted)
    trial, person = known.trials.get(serving.id, ""), known.people.get(serving.seat, "")
    for word, scale in known.scales.items():
        value = known.given.get(serving.id, {}).get(word)
        if value is not None:
            rating = scale_of(scale).number(value)
            said = value if rating is None else ""
            about = (person, trial, word, serving.age_seconds / 60, serving.replicate)
            yield (*about, rating, scale, said, serving.seat, ", ".join(noted), counted)


def _noted(held: Held, serving: Serving) -> tuple[str, ...]:
    """Kinds of deviation noted for this strip or the whole seat, each once."""
    own = [one.kind for one in held.deviations if one.seat == serving.seat and one.serving_id in ("", serving.id)]
    return tuple(dict.fromkeys(own))


def _came(held: Held, rows: pd.DataFrame, seconds: int) -> Came:
    plan, here = held.plan, rows[rows["age_minutes"] == seconds / 60]
    strips = here.drop_duplicates(["seat", "trial", "replicate"])
    counted = here[here["counted"]]
    said = Counter(one for one in counted["said"] if one)
    lost = strips.loc[~strips["counted"], "deviations"]
    kinds = Counter(next(kind for kind in one.split(", ") if kind in plan.set_apart) for one in lost)
    return Came(
        seconds / 60,
        plan.people * plan.replicates * plan.sets_a_round,
        len(strips),
        int(strips["counted"].sum()),
        tuple(sorted(kinds.items())),
        int(counted["rating"].notna().sum()),
        said.pop(NOT_SMELT, 0),
        said.pop(SKIPPED, 0),
        tuple(sorted(said.items())),
    )


def _several(rows: pd.DataFrame, column: str) -> bool:
    return bool(rows[column].nunique() > 1)


def _distinct(names: tuple[str, ...]) -> tuple[str, ...]:
    """Two people may go by one alias: then each name is followed by its place."""
    often = Counter(names)
    return tuple(f"{name} ({place})" if often[name] > 1 else name for place, name in enumerate(names, start=1))


# --- what is counted ----------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Count:
    """How the answers of one family are counted: ``find`` works on the rows that count, ``table`` spells what it found.

    ``find`` is called only where somebody answered; it gets the whole profile too, for what stands beside.
    """

    find: Callable[[pd.DataFrame, ProfileFound], Any]
    table: Callable[[Any], pd.DataFrame]


def _checked(rows: pd.DataFrame, found: ProfileFound) -> CheckAll:
    return statistics.check_all(rows)


def _levels(rows: pd.DataFrame, found: ProfileFound) -> JustAboutRight:
    """With liking where it was asked."""
    liking = found.ratings(POINTS)
    liking = liking[liking["descriptor"] == LIKING_NAME]
    some = not liking["rating"].isna().all()
    return statistics.just_about_right(rows, liking if some else None, level=found.level)


COUNTED: Final[ByScale[Count]] = ByScale(
    "a count of its answers",
    {
        "checked": Count(_checked, lambda found: found.pair_table),
        "levels": Count(_levels, lambda found: found.table),
    },
)


# --- what moved ---------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Move:
    """One descriptor that differs between two trials, in one direction, at ages that follow each other.

    ``ages`` in minutes are all of them, ``differences`` second − first there, ``p_family`` the largest of theirs.
    ``from_start`` and ``to_end``: these hold the first and the last age at which it was rated.
    """

    first: str
    second: str
    descriptor: str
    ages: tuple[float, ...]
    differences: tuple[float, ...]
    p_family: float
    from_start: bool
    to_end: bool

    @property
    def first_age(self) -> float:
        """The youngest age at which they differ, in minutes; they need not have been alike before it."""
        return self.ages[0]

    @property
    def last_age(self) -> float:
        """The oldest age at which they differ, in minutes; they need not be alike after it."""
        return self.ages[-1]

    @property
    def up(self) -> bool:
        """The second trial has more of it."""
        return self.differences[0] > 0


def moves(found: ProfileDifferences, alpha: float, first: str, second: str) -> tuple[Move, ...]:
    """What the family shows between two trials, descriptor by descriptor in the order of the plan, by age."""
    table = found.table[(found.table["first"] == first) & (found.table["second"] == second)]
    return tuple(move for _, rows in table.groupby("descriptor", sort=False) for move in _moves_of(rows, alpha))


def _moves_of(rows: pd.DataFrame, alpha: float) -> Iterator[Move]:
    rows = rows.sort_values("age_minutes")
    for start, end in stretches(rows, "difference", alpha):
        yield _move(rows, start, end)


def _move(rows: pd.DataFrame, start: int, end: int) -> Move:
    own, age = rows.iloc[start:end], rows["age_minutes"].tolist()
    first, second, descriptor = (str(own[name].iloc[0]) for name in ("first", "second", "descriptor"))
    return Move(
        first=first,
        second=second,
        descriptor=descriptor,
        ages=tuple(age[start:end]),
        differences=tuple(own["difference"].tolist()),
        p_family=float(own["p_family"].max()),
        from_start=start == 0,
        to_end=end == len(rows),
    )


def furthest(found: ProfileDifferences, first: str, second: str, without: tuple[str, ...] = ()) -> float | None:
    """The largest end of an interval of the family between two trials; None where no row is left."""
    table = found.table[(found.table["first"] == first) & (found.table["second"] == second)]
    table = table[table["in_family"] & ~table["descriptor"].isin(without)]
    return None if table.empty else float(table[["low", "high"]].abs().to_numpy().max())


# --- the means of one descriptor ----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class Curves:
    """One descriptor over the ages: ``people`` one row for each person, trial and age; ``means`` one for trial and age.

    ``low``, ``high``: interval of the mean over people, by every subset of them (typical values); missing with fewer
    than 6 people there.
    """

    people: pd.DataFrame  # trial, age_minutes, panelist, rating (mean over replicates)
    means: pd.DataFrame  # trial, age_minutes, mean, low, high, panelists


def curves(found: ProfileFound, words: tuple[str, ...], age: float | None = None) -> Curves:
    """Of these descriptors (a column of both frames); ``age``: at this one only."""
    rows = found.ratings(POINTS).dropna(subset=["rating"])
    rows = rows[rows["descriptor"].isin(words)]
    rows = rows if age is None else rows[rows["age_minutes"] == age]
    by = ["descriptor", "trial", "age_minutes"]
    people = rows.groupby([*by, "panelist"], observed=True, sort=False)["rating"].mean().reset_index()
    means = [
        (*cell, float(own["rating"].mean()), *_limits(own["rating"].to_numpy(), found.level), len(own))
        for cell, own in people.groupby(by, observed=True)
    ]
    return Curves(people, pd.DataFrame(means, columns=[*by, "mean", "low", "high", "panelists"]))


def _limits(ratings: Any, level: float) -> tuple[float, float]:
    if refusal(len(ratings), level):
        return float("nan"), float("nan")
    drawn = _subsets(len(ratings))
    return between(drawn @ ratings / drawn.sum(axis=1), level)


@lru_cache(maxsize=8)
def _subsets(people: int) -> Any:
    return subsets(people, seed=0)
