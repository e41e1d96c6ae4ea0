"""What a series says, as evidence: its newest opened sitting stands for all of it, so that no answer counts twice."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

from evaluation.actions.series_sittings import SeriesFound
from evaluation.deciding.evidence import (
    FINAL,
    FIRST,
    NEITHER,
    NOTICE,
    PREFERENCE,
    SECOND,
    Collected,
    Point,
    Summed,
    exact,
    facts_of,
)
from evaluation.judging.adding_up import ENDED, KEEP
from evaluation.judging.entries import FIRST_PREFERRED, SECOND_PREFERRED
from evaluation.judging.suspecting import TraceTold
from evaluation.series import BySeries, OffNote, SearchSeries
from evaluation.series import Final as FinalDesign

_SIDES: Final[Mapping[str, str]] = {FIRST_PREFERRED: FIRST, SECOND_PREFERRED: SECOND}


@dataclass(frozen=True, slots=True)
class OfSeries:
    """What a series gives a decision: points of its pair, and what it says in all."""

    collected: Collected
    summed: Summed | None


def collect_series(found: SeriesFound, trials: Mapping[str, str]) -> OfSeries:
    """``trials``: of each bottle its trial. Nothing of a kind that nobody registered here."""
    collector = SUMMED.get(found.sealed.kind.name)
    return OfSeries(Collected(()), None) if collector is None else collector(found, trials)


def _of_a_pair(found: SeriesFound, trials: Mapping[str, str]) -> OfSeries:
    plan, summed = found.sealed.plan, _summed(found, trials)
    topic = FINAL if summed.final else NOTICE if plan.kind.judged else PREFERENCE
    outcome = _SIDES.get(summed.word, NEITHER) if topic == PREFERENCE else summed.word
    minutes = exact(plan.ages[0].seconds / 60)
    about = (topic, plan.first_trial_id, plan.second_trial_id, plan.media[0], minutes, outcome, True, facts_of(summed))
    point = Point(*about, for_first=summed.first, for_second=summed.second, people=summed.people)
    return OfSeries(Collected((point,)), summed)


def _summed(found: SeriesFound, trials: Mapping[str, str]) -> Summed:
    added, last, design, plan = found.added, found.added.last, found.sealed.series.design, found.sealed.plan
    assert last is not None
    of_final: dict[str, Any] = {}
    if isinstance(design, FinalDesign):
        of_final = {
            "question": design.question,
            "trial_id": trials[design.trial_of(plan)],
            "other_id": trials[design.other_of(plan)],
            "earlier": design.earlier,
            "repeats": added.repeats,
            "met_before": found.met_before,
            "makers": found.makers_voted,
            "without_makers": "" if found.without_makers is None else found.without_makers.word,
        }
    word = ENDED if of_final and found.sealed.ended is not None and added.word != KEEP else added.word
    return Summed(
        found.sealed.kind.name,
        found.sealed.number,
        len(added.looks),
        word,
        last.first,
        last.second,
        last.ties,
        added.people,
        _number(last.evidence),
        _number(added.needed),
        _number(last.mirror),
        _number(added.mirror_needed),
        **of_final,
    )


def _number(value: float | None) -> Decimal | None:
    return exact(value)


def _of_suspects(found: SeriesFound, trials: Mapping[str, str]) -> OfSeries:
    """Of no pair of trials: what it says of materials stands beside, and weighs nothing."""
    trace, plan = found.added.trace, found.sealed.plan
    assert trace is not None
    told = TraceTold(plan.descriptor, found.names[0], len(found.sittings), trace)
    return OfSeries(Collected((), gaps=(facts_of(told),)), None)


SUMMED: Final[BySeries[Callable[[SeriesFound, Mapping[str, str]], OfSeries]]] = BySeries(
    "a way to collect what it says",
    {SearchSeries.name: _of_a_pair, FinalDesign.name: _of_a_pair, OffNote.name: _of_suspects},
)
