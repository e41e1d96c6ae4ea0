"""From a round of pairs or a ranking - plan, servings, key, answers - to who prefers what, and what that shows.

A round's set is one pair, a ranking's set is one tray; both become an order of trials, best first. Answers to void and
unused spare sets never count; the main analysis leaves out what the plan sealed as left out, all answers stand beside.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cached_property
from itertools import combinations
from typing import Final

import numpy as np
import numpy.typing as npt

from evaluation import statistics
from evaluation.counting.questions import Held, smelt
from evaluation.errors import StateError
from evaluation.kinds import Method, Ranking, Round
from evaluation.sessions import NO_PREFERENCE, TRIAL_LETTERS, Ballot, Medium, Plan, Serving
from evaluation.statistics import OppositeCamps, PairwiseMerits, RankTest

OPPOSITE: Final = "opposite camps"  # as the camp test says it

Counts = npt.NDArray[np.int64]
Ranks = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Ordered:
    """One answered set. ``trials``: places of the trials as they lay in the tray, the one smelt first in front.

    ``best_first`` holds the same places in the order of liking, and nothing where no preference was given. ``nearer``
    is the place nearer to the brief, None where none was or it was not asked.
    """

    seat: int
    person: str  # told apart even where two go by one alias
    panelist: str
    age: int  # seconds
    replicate: int
    serving_id: str
    codes: tuple[str, ...]
    trials: tuple[int, ...]
    best_first: tuple[int, ...]
    nearer: int | None
    sure: str
    remark: str
    deviations: tuple[str, ...]
    left_out: tuple[str, ...]

    @property
    def counted(self) -> bool:
        """True where the main analysis counts it."""
        return not self.left_out


@dataclass(frozen=True, slots=True)
class Came:
    """What became of the sets planned; ``left_out``: (kind, sets), each set under one kind."""

    planned: int
    came_in: int
    counted: int
    left_out: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True, eq=False)
class Votes:
    """Answers by person: ``wins``, ``ties`` and ``first`` are people × t × t, as the statistics take them.

    ``first[p, i, j]``: of ``wins[p, i, j]``, those with i smelt first. ``ties[p, i, j]``: no preference, i smelt first.
    """

    people: tuple[str, ...]
    wins: Counts
    ties: Counts
    first: Counts


@dataclass(frozen=True, slots=True)
class Pair:
    """Two trials by place, ``first`` and ``second`` in the order of the plan.

    People, not answers: ``for_first`` preferred it more often, ``even`` both alike. ``p_family`` is that of the exact
    sign test of people, corrected for all pairs. ``camps``: both directions are shown, and no preference is said.
    """

    first: int
    second: int
    for_first: int
    for_second: int
    even: int
    p_family: float
    camps: bool
    alpha: float

    @property
    def people(self) -> int:
        """Everybody who answered about this pair, those who found both alike included."""
        return self.for_first + self.for_second + self.even

    @property
    def shown(self) -> bool:
        """A preference of the panel is shown."""
        return self.p_family <= self.alpha and not self.camps and self.for_first != self.for_second

    @property
    def better(self) -> int:
        """The place of the one more people prefer."""
        return self.first if self.for_first >= self.for_second else self.second


@dataclass(frozen=True, eq=False)
class RoundFound:
    """What one round or ranking found on one medium; the parts are computed when first asked for, and then kept."""

    plan: Plan
    names: tuple[str, ...]  # of the trials, in the order of the plan
    rows: tuple[Ordered, ...]
    came: Came
    everything: bool = False  # True: also what the sealed rule leaves out
    strength: Decimal | None = None  # of the one trial of a fan, in percent, where the book has it

    @property
    def medium(self) -> Medium:
        """The one medium these sets were smelt on."""
        return self.plan.media[0]

    @property
    def alpha(self) -> float:
        """The sealed risk, of the whole family of pairs."""
        return float(self.plan.alpha)

    @property
    def level(self) -> float:
        """Confidence of each interval by itself."""
        return 1.0 - self.alpha

    @property
    def reduced(self) -> bool:
        """True where the sealed rule left something out, so that both ways are shown."""
        return any(not row.counted for row in self.rows)

    @property
    def used(self) -> tuple[Ordered, ...]:
        """The answered sets everything below rests on: those that count, or with ``everything`` all of them."""
        return tuple(row for row in self.rows if self.everything or row.counted)

    @property
    def of_all(self) -> RoundFound:
        """The same with the answers the sealed rule leaves out."""
        return replace(self, everything=True)

    @cached_property
    def votes(self) -> Votes:
        """Who preferred which of every two trials, person by person, from the sets used."""
        return votes(self.used, len(self.names))

    @property
    def answered(self) -> bool:
        """False where no set that counts came in: then there is nothing below."""
        return bool(self.used)

    @cached_property
    def merits(self) -> PairwiseMerits | None:
        """One scale for all trials, its error by people; of rounds only, and without the effect of the place."""
        if not self.plan.kind.pairs or not self.answered:
            return None
        ties = self.votes.ties + self.votes.ties.transpose(0, 2, 1)
        return statistics.pairwise_merits(self.votes.wins, ties, alpha=self.alpha)

    @cached_property
    def placed(self) -> PairwiseMerits | None:
        """The same with the effect of being smelt first, beside; the merits said are those without it."""
        if self.merits is None:
            return None
        own = self.votes
        return statistics.pairwise_merits(own.wins, own.ties, own.first, alpha=self.alpha, draws=0)

    @cached_property
    def ranks(self) -> tuple[tuple[str, ...], Ranks] | None:
        """People and their mean ranks over replicates, people × trials; of rankings only."""
        return mean_ranks(self.used, len(self.names)) if self.plan.kind.ranks and self.answered else None

    @cached_property
    def ranked(self) -> RankTest | None:
        """Friedman's test with all comparisons, and Page's where an order was sealed: one row for each person."""
        if self.ranks is None:
            return None
        return statistics.rank_test(self.ranks[1], order=_foretold(self.plan), alpha=self.alpha)

    @cached_property
    def camps(self) -> OppositeCamps | None:
        """Whether people hold opposite preferences; None where nobody preferred anything."""
        return statistics.opposite_camps(self.votes.wins, alpha=self.alpha) if self.votes.wins.any() else None

    @property
    def split(self) -> bool:
        """Opposite camps are shown in at least one pair: an average over the panel is nobody's."""
        return self.camps is not None and self.camps.finding == OPPOSITE

    @cached_property
    def pairs(self) -> tuple[Pair, ...]:
        """Every two trials, preferred by whom and how surely; () where nothing that counts came in. Of pairs chosen
        beforehand those of which something came in, corrected like all.
        """
        if self.ranked is not None:
            return tuple(_pairs_of_ranks(self.ranked, self._opposed, self.alpha))
        found = tuple(_pairs_of_merits(self, self.merits)) if self.merits is not None else ()
        return tuple(one for one in found if one.people) if _chosen(self.plan) else found

    @property
    def _opposed(self) -> set[tuple[int, int]]:
        return set() if self.camps is None else {(one.first, one.second) for one in self.camps.pairs if one.opposite}

    @property
    def people(self) -> int:
        """With at least one answer that counts."""
        return len({row.person for row in self.used})

    @cached_property
    def nearer(self) -> tuple[tuple[str, int], ...]:
        """How often each trial was said to be nearer to the brief than the other of its pair; empty if not asked."""
        told = Counter(self.names[row.nearer] for row in self.used if row.nearer is not None)
        return tuple((name, told[name]) for name in self.names) if told else ()


def round_found(held: Held, names: tuple[str, ...] = ()) -> RoundFound:
    """What an opened round found; ``names`` of its trials in the order of the plan, their letters if none are given."""
    return _round_found(held, names, "round")


def ranking_found(held: Held, names: tuple[str, ...] = ()) -> RoundFound:
    """What an opened ranking found; ``names`` as in :func:`round_found`."""
    return _round_found(held, names, "ranking")


def _round_found(held: Held, names: tuple[str, ...], method: Method) -> RoundFound:
    plan = held.plan
    if plan.method != method or len(plan.media) > 1:
        raise StateError(f"What a {method} found needs the answers of a {method}, on one medium.")
    rows = ordered(held)
    return RoundFound(plan, names or tuple(TRIAL_LETTERS[: plan.samples]), rows, _came(plan, rows))


# --- one row for each answered set --------------------------------------------------------------------------------


def ordered(held: Held) -> tuple[Ordered, ...]:
    """Every set that was to be smelt and was answered, by seat and place."""
    given = {(one.ballot_id, one.serving_id, one.question): one.value for one in held.answers}
    people, orders = {one.seat: one for one in held.ballots}, dict(held.key.orders)
    asked = "choice" if held.plan.kind.pairs else "ranking"
    return tuple(
        _ordered(held, serving, people[serving.seat], orders[serving.id], given, asked)
        for serving in sorted(smelt(held.servings), key=lambda one: (one.seat, one.place))
        if serving.seat in people and (people[serving.seat].id, serving.id, asked) in given
    )


def _ordered(
    held: Held,
    serving: Serving,
    ballot: Ballot,
    order: str,
    given: Mapping[tuple[str, str, str], str],
    asked: str,
) -> Ordered:
    def said(question: str) -> str:
        return given.get((ballot.id, serving.id, question), "")

    trials = tuple(map(TRIAL_LETTERS.index, order))
    behind = dict(zip(serving.codes, trials, strict=True))
    noted = [one.kind for one in held.deviations if one.seat == serving.seat and one.serving_id in ("", serving.id)]
    kinds = tuple(dict.fromkeys(noted))
    return Ordered(
        seat=serving.seat,
        person=ballot.panelist_id or f"seat {serving.seat}",
        panelist=held.name_at(serving.seat),
        age=serving.age_seconds,
        replicate=serving.replicate,
        serving_id=serving.id,
        codes=serving.codes,
        trials=trials,
        best_first=_best_first(said(asked), behind),
        nearer=behind.get(said("nearer")),
        sure=said("sure"),
        remark=said("remark"),
        deviations=kinds,
        left_out=tuple(kind for kind in kinds if kind in held.plan.set_apart),
    )


def _best_first(value: str, behind: Mapping[str, int]) -> tuple[int, ...]:
    """Places in the order of liking: the codes of a ranking as they stand, the chosen one of a pair in front."""
    if value == NO_PREFERENCE:
        return ()
    codes = value.split(">")
    rest = [code for code in behind if code not in codes]
    return tuple(behind[code] for code in (*codes, *rest))


def _came(plan: Plan, rows: tuple[Ordered, ...]) -> Came:
    lost = Counter(row.left_out[0] for row in rows if row.left_out)
    planned = plan.people * plan.replicates * plan.sets_a_round
    return Came(planned, len(rows), sum(row.counted for row in rows), tuple(sorted(lost.items())))


# --- counts -------------------------------------------------------------------------------------------------------


def votes(rows: Iterable[Ordered], trials: int) -> Votes:
    """Who preferred what to what, person by person; a ranking is one vote for each pair it puts in order."""
    given = tuple(rows)
    people = tuple(dict.fromkeys(row.person for row in given))
    wins, ties, first = (np.zeros((len(people), trials, trials), dtype=np.int64) for _ in range(3))
    for row in given:
        person = people.index(row.person)
        if not row.best_first:
            ties[person, row.trials[0], row.trials[1]] += 1
        for better, worse in combinations(row.best_first, 2):
            wins[person, better, worse] += 1
            first[person, better, worse] += row.trials.index(better) < row.trials.index(worse)
    return Votes(people, wins, ties, first)


def mean_ranks(rows: Iterable[Ordered], trials: int) -> tuple[tuple[str, ...], Ranks]:
    """People and the mean of their ranks over replicates, 1 = best; the rank test ranks these means anew."""
    own: dict[str, list[list[int]]] = {}
    for row in rows:
        own.setdefault(row.person, []).append([row.best_first.index(place) + 1 for place in range(trials)])
    return tuple(own), np.array([np.mean(ranks, axis=0) for ranks in own.values()], dtype=np.float64)


def _chosen(plan: Plan) -> bool:
    return plan.kind.pairs and bool(Round.of(plan).asked_pairs)


def _foretold(plan: Plan) -> tuple[int, ...] | None:
    """The sealed order by place, best first: the plan writes it least first."""
    return tuple(plan.trial_ids.index(one) for one in reversed(Ranking.of(plan).expected_order)) or None


# --- pairs --------------------------------------------------------------------------------------------------------


def _pairs_of_merits(held: RoundFound, found: PairwiseMerits) -> Iterator[Pair]:
    # People's own majorities, exact whatever the answers: a test chosen by how the merits turn out would keep no level.
    for people in found.majorities or ():
        place = people.first, people.second
        even, camps = _even(held.votes, *place), place in held._opposed
        yield Pair(*place, people.for_first, people.for_second, even, people.p_family, camps, held.alpha)


def _even(given: Votes, i: int, j: int) -> int:
    """People asked who preferred both as often, those included who never preferred either."""
    asked = given.wins[:, i, j] + given.wins[:, j, i] + given.ties[:, i, j] + given.ties[:, j, i]
    return int(((given.wins[:, i, j] == given.wins[:, j, i]) & (asked > 0)).sum())


def _pairs_of_ranks(found: RankTest, opposed: set[tuple[int, int]], alpha: float) -> Iterator[Pair]:
    for one in found.comparisons:
        camps = (one.first, one.second) in opposed
        yield Pair(one.first, one.second, one.before, one.behind, one.even, one.people_p_family, camps, alpha)


def led_by(found: RoundFound) -> tuple[int, ...]:
    """Places of the trials, most won first: sum over pairs of the people for it, less those against."""
    lead = Counter(dict.fromkeys(range(len(found.names)), 0))
    for pair in found.pairs:
        lead[pair.first] += pair.for_first - pair.for_second
        lead[pair.second] += pair.for_second - pair.for_first
    return tuple(sorted(lead, key=lambda place: (-lead[place], place)))


def circular(found: RoundFound) -> tuple[tuple[int, int, int], ...]:
    """Three trials of which people's majorities go round in a circle: then no order holds."""
    beats = {(p.first, p.second) for p in found.pairs if p.for_first > p.for_second}
    beats |= {(p.second, p.first) for p in found.pairs if p.for_second > p.for_first}
    trios = combinations(range(len(found.names)), 3)
    return tuple(
        one
        for trio in trios
        for one in (trio, (trio[0], trio[2], trio[1]))
        if {(one[0], one[1]), (one[1], one[2]), (one[2], one[0])} <= beats
    )
