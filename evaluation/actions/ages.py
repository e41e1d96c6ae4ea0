"""How old strips really were when smelt: planned beside real, and whether one trial was older than another."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from evaluation.actions import begins
from evaluation.actions.begins import Begin
from evaluation.actions.paper import told_times
from evaluation.actions.sitting import aliases, names_in
from evaluation.serving.dipping import (
    UNKNOWN,
    Begun,
    Judged,
    Pace,
    dip_times,
    heard_at,
    judge,
    mean_ages,
    pace_of,
    planned_age,
    strip_ages,
)
from evaluation.serving.marks import OTHER
from evaluation.sessions import CLIPS, EARLY, LATE, TRIAL_LETTERS, Medium, Plan, Serving
from evaluation.store import Notebook, Transaction

SPREAD_MS: Final = 20_000  # strips compared may differ by this, or by a tenth of their age if that is less: our rule


@dataclass(frozen=True, slots=True)
class SetAge:
    """One set that was smelt: planned age in seconds, real age in milliseconds when its first strip was smelt.

    Where no tap told when that was, it is the age at the first answer. ``asked``: its ballot had asked back before.
    """

    panelist: str
    medium: Medium
    planned: int
    tolerance: int
    real: int
    late: bool
    early: bool = False
    asked: bool = False

    @property
    def word(self) -> str:
        """ "early", "late", or "" within the tolerance."""
        return EARLY if self.early else LATE if self.late else ""


@dataclass(frozen=True, slots=True)
class TrialAges:
    """Mean real age of each trial's strips at one planned age, by label, in milliseconds."""

    medium: Medium
    planned: int
    means: tuple[tuple[str, int], ...]

    @property
    def differs(self) -> bool:
        """True where trials were smelt at ages further apart than strips compared may be."""
        ages = [mean for _, mean in self.means]
        return max(ages) - min(ages) > min(SPREAD_MS, 100 * self.planned)


@dataclass(frozen=True, slots=True)
class AgesFound:
    """Real ages of a session; of ``unknown`` sets, answered, nobody told when they were dipped, or on paper smelt."""

    sets: tuple[SetAge, ...]
    trials: tuple[TrialAges, ...]
    unknown: int

    @property
    def early(self) -> int:
        """Sets smelt younger than their tolerance allows; sets of unknown age are not among them."""
        return sum(one.early for one in self.sets)

    @property
    def late(self) -> int:
        """Sets smelt older than their tolerance allows; sets of unknown age are not among them."""
        return sum(one.late for one in self.sets)

    @property
    def asked(self) -> int:
        """Of the sets that were early or late, those smelt after their ballot had asked back."""
        return sum(one.asked for one in self.sets if one.word)


def real_ages(notebook: Notebook, session_id: str) -> AgesFound | None:
    """Of an opened session (StillBlind for any other); None where nothing was tapped that tells of ages."""
    with notebook.reading() as tx:
        orders = dict(tx.key.open_key(session_id).orders)  # refuses first
        dips, begun = tx.live.dips(session_id), begins.begun_sets(tx, session_id)
        if not dips:  # before every answer is read
            unknown = sum(one.asked == UNKNOWN for one in begun.values())
            return AgesFound((), (), unknown) if unknown else None
        session, served = tx.sittings.session(session_id), tx.sittings.servings(session_id)
        newest = tx.live.timetable(session_id)
        pace = pace_of(newest.body if newest else None, session.plan.strips_a_code)
        smelt_at = _smelt(tx, session_id, begun, pace)
        labels = dict(zip(TRIAL_LETTERS, names_in(tx, session.plan), strict=False))
        people = aliases(tx, session_id)
    smelt = [one for one in served if not (one.void or one.spare or one.warm_up) and one.id in smelt_at]
    dipped = dip_times((one for one in served if not one.void), dips)
    judged = {one.id: _judged(session.plan, one, dipped.get(one.id), smelt_at[one.id], pace) for one in smelt}
    sets = [
        _set(one, people[one.seat], found, begun.get(one.id))
        for one in smelt
        if (found := judged[one.id]).real is not None and found.planned is not None
    ]
    timed = [one for one in smelt if judged[one.id].real is not None]
    first = {one.id: at.told for one in timed if (at := smelt_at[one.id]) is not None}
    told = [one for one in timed if OTHER not in orders[one.id]]  # whose age such a strip has nobody knows
    by_trial = _by_trial(told, orders, labels, dipped, first, pace, shuffled=session.plan.preparation == CLIPS)
    return AgesFound(tuple(sets), by_trial, len(smelt) - len(timed))


def _judged(plan: Plan, serving: Serving, dipped_at: int | None, smelt: Begun | None, pace: Pace) -> Judged:
    planned = planned_age(plan, serving)
    return Judged(UNKNOWN, None, planned) if smelt is None else judge(serving, planned, dipped_at, smelt, pace)


def _set(serving: Serving, alias: str, found: Judged, begun: Begin | None) -> SetAge:
    assert found.planned is not None  # the caller has looked
    assert found.real is not None
    planned, asked = found.planned, begun is not None and begun.asked in begins.NOTED
    about = (alias, serving.medium, planned.seconds, planned.tolerance_seconds, found.real)
    return SetAge(*about, late=found.word == LATE, early=found.word == EARLY, asked=asked)


def _smelt(tx: Transaction, session_id: str, begun: Mapping[str, Begin], pace: Pace) -> dict[str, Begun | None]:
    """When each answered set was begun, as a tap told it, else by the first tap or answer; on paper as written."""
    first = {serving_id: at for (_, serving_id), at in tx.ballots.first_taps(session_id).items()}
    for answer in tx.ballots.session_answers(session_id):
        first[answer.serving_id] = min(answer.at, first.get(answer.serving_id, answer.at))
    known = {one: begun[one].begun if one in begun else heard_at(at, pace) for one, at in first.items()}
    told = told_times(tx, session_id)
    return known | {one: None if at is None else heard_at(at, pace) for one, at in told.items()}


def _by_trial(
    timed: list[Serving],
    orders: Mapping[str, str],
    labels: Mapping[str, str],
    dipped: Mapping[str, int],
    first: Mapping[str, int],
    pace: Pace,
    *,
    shuffled: bool,
) -> tuple[TrialAges, ...]:
    found = []
    for medium, planned in sorted({(one.medium, one.age_seconds) for one in timed}):
        here = [one for one in timed if (one.medium, one.age_seconds) == (medium, planned)]
        told = [(orders[one.id], strip_ages(one, dipped[one.id], first[one.id], pace)) for one in here]
        means = mean_ages([_of_trials(*one) for one in told] if shuffled else told)
        found.append(TrialAges(medium, planned, tuple((labels[letter], mean) for letter, mean in means.items())))
    return tuple(found)


def _of_trials(order: str, ages: tuple[int, ...]) -> tuple[str, tuple[int, ...]]:
    """Shuffled after the dips: which strip was dipped when nobody knows, so each trial has the mean age of the set."""
    trials = "".join(sorted(set(order.upper())))
    return trials, (sum(ages) // len(ages),) * len(trials)
