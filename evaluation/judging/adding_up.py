"""What the sittings of a series say together: the evidence after each, the words that may be read, and a final's end.

Evidence of a bet against guessing may be read after any sitting. *Not noticed*, *preferred* and finals hang on who
answered: where people are named they are read after complete rounds only, because whoever answers first, or oftener,
would else lead (a fan who answers first gives a false *preferred* in .70). A threshold that was reached where
it might be read stays reached.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any
from typing import Final as Constant

from evaluation.counting.adding_votes import Sitting, Vote, answers_each, once_a_day, whole_rounds
from evaluation.judging.entries import (
    FIRST_PREFERRED,
    NO_PREFERENCE_SHOWN,
    NO_WORD,
    NOT_NOTICED,
    NOTICED,
    NOTICED_BUT_SMALL,
    SECOND_PREFERRED,
    THIS_NOSE,
    THIS_PANEL,
    UNDECIDED,
)
from evaluation.judging.suspecting import Trace, traced
from evaluation.judging.verdicts import speaks_for
from evaluation.series import BySeries, Final, OffNote, SearchSeries, Series
from evaluation.series.finals import GIVEN_UP, SIMPLER
from evaluation.sessions import Seat
from evaluation.statistics import accumulated_evidence, preference_evidence

# How a final stands
KEEP: Constant = "keep"
GAVE_UP: Constant = "given up"
CAPPED: Constant = "capped"
OPEN: Constant = "open"
ENDED: Constant = "ended"  # by its conductor, before it had ended by itself


@dataclass(frozen=True, slots=True)
class Look:
    """A series after one sitting: all answers so far, right or for the first, wrong or for the second, and ties.

    ``evidence``: how many times the stake of a bet has become; ``mirror`` the same of the bet that few notice, None
    where none is made. ``whole``: every named person has answered equally often.
    """

    session_id: str
    title: str
    opened_at: int
    first: int
    second: int
    ties: int
    evidence: float
    mirror: float | None
    whole: bool

    @property
    def answers(self) -> int:
        """All that count, ties included."""
        return self.first + self.second + self.ties


@dataclass(frozen=True, slots=True)
class Added:
    """What a series says so far. ``word``: a verdict, how a final stands, or "" where nothing was opened.

    ``needed`` is what the evidence is held against, ``mirror_needed`` what its mirror is. ``again``: votes that do not
    count because their nose had voted that day. ``repeats``: somebody's answers count more than once.
    """

    word: str
    looks: tuple[Look, ...]
    needed: float
    mirror_needed: float | None
    people: int
    repeats: bool
    speaks_for: str
    again: tuple[Vote, ...] = ()
    trace: Trace | None = None  # of a series about an off-note: each suspect by itself

    @property
    def last(self) -> Look | None:
        """The newest look; None before the first sitting was opened."""
        return self.looks[-1] if self.looks else None

    @property
    def read(self) -> Look | None:
        """The newest look at which everything may be read."""
        return next((one for one in reversed(self.looks) if one.whole), None)


Adder = Callable[[Series, Sequence[Sitting]], Added]


def added(series: Series, sittings: Sequence[Sitting], without: Iterable[str] = ()) -> Added:
    """What the opened sittings of a series say together, in the order they were opened; ``without`` some people."""
    left = frozenset(without)
    adder = ADDERS.of(series.kind.name)
    if not left:
        return adder(series, sittings)
    seats = [seat for seat in series.plan.seats if seat.panelist_id not in left]
    if not seats:
        return adder(series, ())
    numbered = tuple(Seat(number, seat.panelist_id) for number, seat in enumerate(seats, start=1))
    others = replace(series, plan=replace(series.plan, seats=numbered))
    return adder(others, [_without(one, left) for one in sittings])


def _without(one: Sitting, left: frozenset[str]) -> Sitting:
    votes = tuple(vote for vote in one.votes if vote.person not in left)
    return Sitting(one.session_id, one.title, one.opened_at, votes, one.part)


# --- a search series --------------------------------------------------------------------------------------------------


def _searched(series: Series, sittings: Sequence[Sitting]) -> Added:
    wording = _noticed if series.plan.kind.judged else _preferred
    return wording(series, sittings)


def _noticed(series: Series, sittings: Sequence[Sitting]) -> Added:
    plan, wholes = series.plan, _wholes(series, sittings)
    pd, alpha, beta = float(plan.pd), float(plan.alpha), float(plan.beta)
    found = accumulated_evidence(*_right_of(_counts(sittings)), plan.method, pd)
    mirror = accumulated_evidence(*_right_of(_blocks(sittings, wholes)), plan.method, pd)
    noticed, small = (bool(one and one[-1]) for one in (found.noticed(alpha), mirror.not_noticed(beta)))
    word = _WORDS[noticed, small] if sittings else NO_WORD
    looks = _looks(sittings, wholes, found.evidence, found.mirror)
    return _told(series, sittings, word, looks, (1 / alpha, 1 / beta))


_WORDS: Constant = {
    (True, False): NOTICED,
    (False, True): NOT_NOTICED,
    (True, True): NOTICED_BUT_SMALL,
    (False, False): UNDECIDED,
}


def _preferred(series: Series, sittings: Sequence[Sitting]) -> Added:
    plan, wholes = series.plan, _wholes(series, sittings)
    alpha = float(plan.alpha)
    found = preference_evidence(*_columns(_counts(sittings)), plan.ties_rule)
    blocks = _blocks(sittings, wholes)
    reached = preference_evidence(*_columns(blocks), plan.ties_rule).reached(alpha)
    word = _way(blocks, reached) if sittings else NO_WORD
    return _told(series, sittings, word, _looks(sittings, wholes, found.evidence, None), (1 / alpha, None))


def _way(blocks: Sequence[tuple[int, int, int]], reached: Sequence[bool]) -> str:
    """The trial that led when the threshold was first reached."""
    if True not in reached:
        return NO_PREFERENCE_SHOWN
    until = blocks[: reached.index(True) + 1]
    first, second = sum(one[0] for one in until), sum(one[1] for one in until)
    return FIRST_PREFERRED if first > second else SECOND_PREFERRED


# --- a final ----------------------------------------------------------------------------------------------------------


def _final(series: Series, sittings: Sequence[Sitting]) -> Added:
    final = series.design
    assert isinstance(final, Final)
    plan, (kept, again) = series.plan, once_a_day(sittings)
    wholes = _wholes(series, kept)
    needed = final.multiple / plan.alpha
    path = _path_of_final(series, final, kept)
    looks = _looks(kept, wholes, path, None)
    word, ended = _standing_of(final, looks, float(needed)) if sittings else (NO_WORD, len(looks))
    return _told(series, kept[:ended], word, looks[:ended], (float(needed), None), again)


def _path_of_final(series: Series, final: Final, kept: Sequence[Sitting]) -> tuple[float, ...]:
    """The evidence that speaks for the trial: of votes one-sided, of *the simpler one* the mirror."""
    plan, counts = series.plan, _counts(kept)
    if final.question == SIMPLER:
        return accumulated_evidence(*_right_of(counts), plan.method, float(plan.pd)).mirror or ()
    first, second, ties = _columns(counts)
    own = (first, second) if final.challenger == "first" else (second, first)
    return preference_evidence(*own, ties, plan.ties_rule, "first").evidence


def _standing_of(final: Final, looks: Sequence[Look], needed: float) -> tuple[str, int]:
    """How it stands, and how many sittings it had until then: what was smelt after its end says nothing more."""
    for number, look in enumerate(looks, start=1):
        if not look.whole:
            continue
        if look.evidence >= needed:
            return KEEP, number
        if look.evidence < GIVEN_UP:
            return GAVE_UP, number
        if look.answers >= final.cap:
            return CAPPED, number
    return OPEN, len(looks)


# --- an off-note ------------------------------------------------------------------------------------------------------


def _traced(series: Series, sittings: Sequence[Sitting]) -> Added:
    """Evidence of each suspect by itself; nothing is said of all of them together."""
    trace = traced(series, sittings)
    return replace(_told(series, sittings, trace.word if sittings else NO_WORD, (), (trace.needed, None)), trace=trace)


# --- what both need ---------------------------------------------------------------------------------------------------


def _wholes(series: Series, sittings: Sequence[Sitting]) -> tuple[bool, ...]:
    return tuple(whole_rounds(sittings, series.people))


def _counts(sittings: Iterable[Sitting]) -> list[tuple[int, int, int]]:
    return [one.counted() for one in sittings]


def _blocks(sittings: Sequence[Sitting], wholes: Sequence[bool]) -> list[tuple[int, int, int]]:
    """The counts between one look at which everything may be read and the next; answers after the last are left out."""
    found, open_block = [], (0, 0, 0)
    for counts, whole in zip(_counts(sittings), wholes, strict=True):
        open_block = (open_block[0] + counts[0], open_block[1] + counts[1], open_block[2] + counts[2])
        if whole:
            found.append(open_block)
            open_block = (0, 0, 0)
    return found


def _columns(counts: Sequence[tuple[int, int, int]]) -> tuple[list[int], list[int], list[int]]:
    return [one[0] for one in counts], [one[1] for one in counts], [one[2] for one in counts]


def _right_of(counts: Sequence[tuple[int, int, int]]) -> tuple[list[int], list[int]]:
    right, wrong, _ = _columns(counts)
    return right, [r + w for r, w in zip(right, wrong, strict=True)]


def _looks(
    sittings: Sequence[Sitting],
    wholes: Sequence[bool],
    evidence: Sequence[float],
    mirror: Sequence[float] | None,
) -> tuple[Look, ...]:
    found, so_far = [], (0, 0, 0)
    for place, one in enumerate(sittings):
        counts = one.counted()
        so_far = (so_far[0] + counts[0], so_far[1] + counts[1], so_far[2] + counts[2])
        few = None if mirror is None else mirror[place]
        about = (one.session_id, one.title, one.opened_at)
        found.append(Look(*about, *so_far, evidence[place], few, wholes[place]))
    return tuple(found)


def _told(
    series: Series,
    sittings: Sequence[Sitting],
    word: str,
    looks: tuple[Look, ...],
    needed: tuple[float, float | None],
    again: tuple[Vote, ...] = (),
) -> Added:
    each = answers_each(sittings)
    repeats = any(number > 1 for number in each.values())
    whom: Any = speaks_for(len(each), repeats)
    if series.kind.keeps and len(each) != 1:
        whom = THIS_PANEL
    return Added(word, looks, *needed, len(each), repeats, whom if each else THIS_NOSE, again)


ADDERS: Constant[BySeries[Adder]] = BySeries(
    "a way to add up", {SearchSeries.name: _searched, Final.name: _final, OffNote.name: _traced}
)
