"""How long timetables are against a time no timetable can beat, and how long planning takes.

``ours_seconds`` and ``theirs_seconds`` are not running times here but the makespan found and its proven lower bound;
``ratio`` is bound / makespan, 1 where no timetable whatever is shorter. The processor time is in the note. Cases are
drawn once from a fixed seed: 4 to 24 people, 2 to 6 ages, 1 to 3 preparers, one to four sets at each age, ages from
minutes to a day; every third case has people who come at times of their own.
"""

from __future__ import annotations

import random
import time
from statistics import median

from benchmarks.rows import Row
from evaluation.timetable import DAY, Bench, NoFit, Person, Timetable, Wanted, breaks, plan_timetable

CASES = 30
MINUTES = (2, 3, 5, 8, 10, 15, 20, 30, 45, 60, 120)

Case = tuple[list[Wanted], list[Person], Bench]


def run() -> list[Row]:
    rows = [_measured(f"timetable {number + 1}", *drawn(number)) for number in range(CASES)]
    gaps = sorted(row.ours_seconds / row.theirs_seconds - 1 for row in rows)
    shortest = sum(gap == 0 for gap in gaps)
    note = f"median gap {median(gaps):.1%}, largest {gaps[-1]:.1%}, {shortest} of {CASES} as short as can be"
    middle = 1 / (1 + median(gaps))
    return [*rows, Row("timetable, median of all", 0.0, 0.0, middle, note), *_large()]


def drawn(number: int) -> Case:
    """Case ``number``: a session in which preparers or noses have much to do."""
    chance = random.Random(number)
    people = [f"p{n}" for n in range(chance.randint(4, 24))]
    ages = [60 * minutes for minutes in sorted(chance.sample(MINUTES, chance.randint(2, 6)))]
    if number % 10 == 9:
        ages[-1] = DAY
    sets, strips = chance.randint(1, 4), chance.choice((2, 3))
    bench = Bench(
        preparers=chance.randint(1, 3),
        seconds_per_dip=chance.choice((3, 4, 5)),
        seconds_per_smell=chance.choice((60, 90, 120)),
        rest_seconds=chance.choice((60, 120, 180)),
        sets_per_sitting=chance.choice((3, 4, 6)),
        sitting_break_seconds=chance.choice((600, 900)),
    )
    wanted = [
        Wanted(f"{who}-{age}-{turn}", who, age, age // 10, strips)
        for who in people
        for age in ages
        for turn in range(sets)
    ]
    return wanted, [Person(who, _hours(chance) if number % 3 == 2 else ()) for who in people], bench


def _hours(chance: random.Random) -> tuple[tuple[int, int], ...]:
    """Comes within the first hour, stays for five to seven, and is back for as long the next day."""
    come, stay = 300 * chance.randrange(12), 300 * chance.randrange(60, 84)
    return ((come, come + stay), (DAY + come, DAY + come + stay))


def _measured(name: str, wanted: list[Wanted], people: list[Person], bench: Bench) -> Row:
    begin = time.process_time()
    found = plan_timetable(wanted, people, bench)
    took = time.process_time() - begin
    if isinstance(found, NoFit):
        raise AssertionError(found.sentence)
    if breaks(found, wanted, people, bench):
        raise AssertionError(breaks(found, wanted, people, bench))
    return _row(name, found, len(people), len(wanted), bench, took)


def _row(name: str, found: Timetable, people: int, sets: int, bench: Bench, took: float) -> Row:
    ours, theirs = float(found.makespan_seconds), float(found.lower_bound_seconds)
    size = f"{people} people, {sets} sets, {bench.preparers} preparing"
    note = f"its lower bound, gap {ours / theirs - 1:.1%}; {size}; planned in {took:.2f} s"
    return Row(name, ours, theirs, theirs / ours, note)


def _large() -> list[Row]:
    """24 people × 4 sets × 5 ages, from one to three preparers."""
    people = [Person(f"p{number}") for number in range(24)]
    rows = []
    for ages in ((5, 30, 120, 360, 1440), (5, 10, 15, 20, 30)):
        wanted = [
            Wanted(f"{one.panelist}-{age}-{turn}", one.panelist, 60 * age, 6 * age, 3)
            for one in people
            for age in ages
            for turn in range(4)
        ]
        for preparers in (1, 2, 3):
            named = f"timetable 24 × 4 × 5, {ages[0]} to {ages[-1]} min"
            rows.append(_measured(named, wanted, people, Bench(preparers=preparers)))
    return rows
