"""How old strips really were when smelt: planned beside real, and whether one trial was older than another."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from evaluation.actions.paper import told_times
from evaluation.dipping import Pace, dip_times, mean_ages, outside, pace_of, planned_age, set_age, strip_ages
from evaluation.sessions import TRIAL_LETTERS, Serving
from evaluation.store import Notebook, Transaction

SPREAD_MS: Final = 20_000  # strips compared may differ by this, or by a tenth of their age if that is less: our rule


@dataclass(frozen=True, slots=True)
class SetAge:
    """One set that was smelt: planned age in seconds, real age in milliseconds at the first answer."""

    panelist: str
    medium: str
    planned: int
    tolerance: int
    real: int
    late: bool


@dataclass(frozen=True, slots=True)
class TrialAges:
    """Mean real age of each trial's strips at one planned age, by label, in milliseconds."""

    medium: str
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
    def late(self) -> int:
        return sum(one.late for one in self.sets)


def real_ages(notebook: Notebook, session_id: str) -> AgesFound | None:
    """Of an opened session (StillBlind for any other); None where no dip was tapped."""
    with notebook.reading() as tx:
        orders = dict(tx.key.open_key(session_id).orders)  # refuses first
        dips = tx.live.dips(session_id)
        if not dips:
            return None  # before every answer is read
        session, served = tx.sittings.session(session_id), tx.sittings.servings(session_id)
        newest = tx.live.timetable(session_id)
        answered = _first_answers(tx, session_id)
        labels = dict(zip(TRIAL_LETTERS, (tx.book.trial(one).label for one in session.plan.trial_ids), strict=False))
        people = {
            one.seat: tx.book.panelist(one.panelist_id).alias
            for one in tx.ballots.ballots(session_id)
            if one.panelist_id is not None
        }
    pace = pace_of(newest.body if newest else None)
    first = {one: at for one, at in answered.items() if at is not None}
    smelt = [one for one in served if not (one.void or one.spare or one.warm_up) and one.id in answered]
    dipped = dip_times((one for one in served if not one.void), dips)
    sets = []
    for one in smelt:
        age = planned_age(session.plan, one)
        if age is not None and one.id in dipped and one.id in first:
            real = set_age(one, dipped[one.id], first[one.id], pace)
            late = bool(outside(age, real, pace))
            sets.append(SetAge(people[one.seat], one.medium, age.seconds, age.tolerance_seconds, real, late))
    timed = [one for one in smelt if one.id in dipped and one.id in first]
    return AgesFound(tuple(sets), _by_trial(timed, orders, labels, dipped, first, pace), len(smelt) - len(timed))


def _first_answers(tx: Transaction, session_id: str) -> dict[str, int | None]:
    """The server's time of the first tap or answer about each set; on paper, what was written down."""
    found = {serving_id: at for (_, serving_id), at in tx.ballots.first_taps(session_id).items()}
    for answer in tx.ballots.session_answers(session_id):
        found[answer.serving_id] = min(answer.at, found.get(answer.serving_id, answer.at))
    return found | told_times(tx, session_id)


def _by_trial(
    timed: list[Serving],
    orders: Mapping[str, str],
    labels: Mapping[str, str],
    dipped: Mapping[str, int],
    first: Mapping[str, int],
    pace: Pace,
) -> tuple[TrialAges, ...]:
    found = []
    for medium, planned in sorted({(one.medium, one.age_seconds) for one in timed}):
        here = [one for one in timed if (one.medium, one.age_seconds) == (medium, planned)]
        means = mean_ages([(orders[one.id], strip_ages(one, dipped[one.id], first[one.id], pace)) for one in here])
        found.append(TrialAges(medium, planned, tuple((labels[letter], mean) for letter, mean in means.items())))
    return tuple(found)
