"""Every constraint a timetable breaks, found from its lines alone: nothing of the search is used here."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from evaluation.timetable.quantities import FAR, Bench, Line, Person, Timetable, Totals, Wanted, Window
from evaluation.timetable.tasks import dips, length_of, preparer_hours, spread_allowed
from evaluation.timetable.views import by_person, by_preparer

Found = Iterator[tuple[tuple[str, ...], str]]  # the servings concerned, and the sentence


@dataclass(frozen=True, slots=True)
class _Case:
    timetable: Timetable
    wanted: dict[str, Wanted]
    windows: dict[str, tuple[Window, ...]]
    hours: tuple[Window, ...]
    dips: list[tuple[Wanted, ...]]
    bench: Bench


def breaks(
    timetable: Timetable,
    wanted: Sequence[Wanted],
    people: Sequence[Person],
    bench: Bench,
    dipped: Collection[str] = (),
    smelt: Collection[str] = (),
) -> tuple[str, ...]:
    """A sentence for every broken constraint; empty if the timetable holds.

    ``dipped`` and ``smelt`` name what has happened already in a running session: it is not held against the timetable.
    """
    missing = _presence(timetable, wanted)
    if missing:
        return tuple(missing)
    case = _Case(
        timetable,
        {one.serving_id: one for one in wanted},
        {person.panelist: person.windows or ((0, FAR),) for person in people},
        preparer_hours(people, bench),
        dips(wanted, bench),
        bench,
    )
    about_dips = [
        (_lengths, dipped),
        (_shared, dipped),
        (_together, dipped),
        (_preparers, dipped),
        (_skin_dips, dipped),
    ]
    about_smells = [(_ages, smelt), (_noses, smelt), (_sittings, smelt), (_coming, smelt), (_dry, smelt)]
    found = [
        sentence
        for rule, past in about_dips + about_smells
        for concerned, sentence in rule(case)
        if not set(concerned) <= set(past)
    ]
    return (*found, *_sums(case))


def _presence(timetable: Timetable, wanted: Sequence[Wanted]) -> list[str]:
    planned = [line.serving_id for line in timetable.lines]
    owners = {one.serving_id: one.panelist for one in wanted}
    found = [
        f"{name} is planned {planned.count(name)} times." for name in sorted(set(planned)) if planned.count(name) > 1
    ]
    found += [f"{name} is not planned." for name in owners if name not in set(planned)]
    found += [f"{name} is planned, but nobody wants it." for name in planned if name not in owners]
    wrong = [line for line in timetable.lines if owners.get(line.serving_id, line.panelist) != line.panelist]
    return found + [f"{line.serving_id} is not {line.panelist}'s." for line in wrong]


def _lengths(case: _Case) -> Found:
    for line in case.timetable.lines:
        needed = length_of(case.wanted[line.serving_id], case.bench)
        if line.dip_to - line.dip_from != needed:
            yield (
                (line.serving_id,),
                f"{line.serving_id}: preparing takes {needed} s, not {line.dip_to - line.dip_from}.",
            )


def _shared(case: _Case) -> Found:
    lines = {line.serving_id: line for line in case.timetable.lines}
    for members in case.dips:
        made = {(lines[o.serving_id].preparer, lines[o.serving_id].dip_from) for o in members}
        if len(made) > 1:
            names = tuple(one.serving_id for one in members)
            yield names, f"{', '.join(names)} must come from one dip."


def _together(case: _Case) -> Found:
    for one in case.wanted.values():
        if not spread_allowed(one, case.bench):
            yield (one.serving_id,), f"{one.serving_id}: its strips cannot be dipped together in time."


def _first_lines(case: _Case) -> list[Line]:
    """One line for every dip."""
    lines = {line.serving_id: line for line in case.timetable.lines}
    return [lines[members[0].serving_id] for members in case.dips]


def _preparers(case: _Case) -> Found:
    hands: dict[int, list[Line]] = {}
    for line in _first_lines(case):
        hands.setdefault(line.preparer, []).append(line)
        if not 0 <= line.preparer < case.bench.preparers:
            yield (line.serving_id,), f"{line.serving_id}: there is no preparer {line.preparer}."
        if not _within(line.dip_from, line.dip_to, case.hours):
            yield (line.serving_id,), f"{line.serving_id}: nobody prepares from {line.dip_from} to {line.dip_to} s."
    for mine in hands.values():
        for one, other in pairwise(sorted(mine, key=lambda line: line.dip_from)):
            if other.dip_from < one.dip_to:
                both = (one.serving_id, other.serving_id)
                yield both, f"preparer {one.preparer} has {both[0]} and {both[1]} in hand at once."


def _ages(case: _Case) -> Found:
    for line in case.timetable.lines:
        one = case.wanted[line.serving_id]
        age = line.smell_from - (line.dip_from + line.dip_to) // 2
        if line.age_seconds != age:
            yield (line.serving_id,), f"{line.serving_id}: its age is not {line.age_seconds} s."
        off = abs(age - one.age_seconds) > one.tolerance_seconds
        if off and line.serving_id not in case.timetable.late:
            yield (
                (line.serving_id,),
                f"{line.serving_id}: {line.age_seconds} s is outside {one.age_seconds} ± tolerance.",
            )


def _noses(case: _Case) -> Found:
    for mine in by_person(case.timetable).values():
        for line in mine:
            if line.smell_to - line.smell_from != case.bench.seconds_per_smell:
                yield (line.serving_id,), f"{line.serving_id}: smelling takes {case.bench.seconds_per_smell} s."
        for one, other in pairwise(mine):
            if other.smell_from - one.smell_to < case.bench.rest_seconds:
                both = (one.serving_id, other.serving_id)
                yield both, f"{one.panelist} rests too little between {both[0]} and {both[1]}."


def _sittings(case: _Case) -> Found:
    cap, long = case.bench.sets_per_sitting, case.bench.sitting_break_seconds
    for mine in by_person(case.timetable).values():
        for at in range(len(mine) - cap):
            run = mine[at : at + cap + 1]
            if all(other.smell_from - one.smell_to < long for one, other in pairwise(run)):
                names = tuple(line.serving_id for line in run)
                yield names, f"{run[0].panelist} smells {cap + 1} sets without a break: {', '.join(names)}."


def _coming(case: _Case) -> Found:
    end = case.bench.latest_end_seconds
    for line in case.timetable.lines:
        name = (line.serving_id,)
        if not _within(line.smell_from, line.smell_to, case.windows[line.panelist]):
            yield name, f"{line.panelist} cannot come from {line.smell_from} to {line.smell_to} s ({line.serving_id})."
        if end is not None and line.smell_to > end:
            yield name, f"{line.serving_id} ends at {line.smell_to} s, after the latest end."


# --- skin -------------------------------------------------------------------------------------------------------------


def _skin_dips(case: _Case) -> Found:
    for line in _first_lines(case):
        if case.wanted[line.serving_id].medium != "skin":
            continue
        washed = tuple((begin + case.bench.wash_seconds, end) for begin, end in case.windows[line.panelist])
        if not _within(line.dip_from, line.dip_to, washed):
            yield (line.serving_id,), f"{line.panelist} is not there, washed, when {line.serving_id} is applied."
    yield from _treated_while_busy(case)
    yield from _sites(case)


def _treated_while_busy(case: _Case) -> Found:
    skin = [line for line in _first_lines(case) if case.wanted[line.serving_id].medium == "skin"]
    for line in skin:
        for other in by_person(case.timetable)[line.panelist]:
            both = (line.serving_id, other.serving_id)
            if line.dip_from < other.smell_to and other.smell_from < line.dip_to:
                yield both, f"{line.panelist} smells {other.serving_id} while {line.serving_id} is applied."
            again = other in skin and other.serving_id > line.serving_id
            if again and line.dip_from < other.dip_to and other.dip_from < line.dip_to:
                yield both, f"{line.panelist} has {both[0]} and {both[1]} applied at once."


def _sites(case: _Case) -> Found:
    lines = {line.serving_id: line for line in case.timetable.lines}
    used: dict[str, list[tuple[int, int, Wanted]]] = {}
    for members in case.dips:
        if members[0].medium == "skin":
            mine = [lines[one.serving_id] for one in members]
            span = (mine[0].dip_from, max(line.smell_to for line in mine), members[0])
            used.setdefault(members[0].panelist, []).append(span)
    for panelist, spans in used.items():
        spans.sort(key=lambda span: span[:2])
        for at, (begin, end, one) in enumerate(spans):
            for later, _, other in spans[at + 1 :]:
                if set(one.sites) & set(other.sites) and later - end < case.bench.washout_seconds:
                    both = (one.serving_id, other.serving_id)
                    yield both, f"{panelist}: {both[1]} is applied where {both[0]} has not washed out."
            beside = sum(len(other.sites) for from_, to, other in spans if from_ <= begin < to)
            if beside > case.bench.sites_at_once:
                yield (one.serving_id,), f"{panelist} has {beside} sites in use at once."


def _dry(case: _Case) -> Found:
    for line in case.timetable.lines:
        skin = case.wanted[line.serving_id].medium == "skin"
        if line.smell_from < line.dip_to + (case.bench.drying_seconds if skin else 0):
            yield (line.serving_id,), f"{line.serving_id} is smelt before it is {'dry' if skin else 'dipped'}."


# --- sums -------------------------------------------------------------------------------------------------------------


def _sums(case: _Case) -> list[str]:
    table = case.timetable
    made = [members[0] for members in case.dips]
    seconds = sum(length_of(one, case.bench) for one in made)
    found = []
    if table.totals != Totals(sum(one.strips for one in made), len(made), seconds):
        found.append("the totals of strips, dips and preparer seconds are not those of the lines.")
    if table.makespan_seconds != max((line.smell_to for line in table.lines), default=0):
        found.append("the makespan is not the end of the last set.")
    if table.lower_bound_seconds > table.makespan_seconds:
        found.append("the lower bound lies above the makespan.")
    if sum(map(len, by_preparer(table).values())) != len(made):
        found.append("the preparers' lists do not hold every dip once.")
    return found


def _within(begin: int, end: int, windows: Sequence[Window]) -> bool:
    return any(first <= begin and end <= last for first, last in windows)
