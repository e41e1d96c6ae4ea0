"""Generated benches, people and sets for the tests of the timetable."""

from __future__ import annotations

from hypothesis import strategies as st

from evaluation.timetable import DAY, Bench, Person, Timetable, Wanted, breaks, plan_timetable

Case = tuple[list[Wanted], list[Person], Bench]

AGES = (60, 120, 300, 600, 1200, 3600)


@st.composite
def benches(draw: st.DrawFn) -> Bench:
    rest = draw(st.sampled_from((0, 30, 60, 180)))
    return Bench(
        preparers=draw(st.integers(1, 3)),
        seconds_per_dip=draw(st.integers(1, 5)),
        seconds_per_smell=draw(st.sampled_from((20, 45, 61, 120))),
        rest_seconds=rest,
        sets_per_sitting=draw(st.integers(1, 5)),
        sitting_break_seconds=rest + draw(st.sampled_from((0, 200, 600))),
        latest_end_seconds=draw(st.sampled_from((None, None, 5000, 2 * DAY))),
        reuse=draw(st.booleans()),
        tolerance_kept_percent=draw(st.sampled_from((0, 50))),
        seconds_per_application=draw(st.sampled_from((10, 60))),
        wash_seconds=draw(st.sampled_from((0, 300))),
        drying_seconds=draw(st.sampled_from((0, 45))),
        washout_seconds=draw(st.sampled_from((0, 1800))),
        sites_at_once=draw(st.integers(2, 4)),
    )


@st.composite
def windows(draw: st.DrawFn) -> tuple[tuple[int, int], ...]:
    """Always there, one morning, a morning and an afternoon, or two days."""
    come = 60 * draw(st.integers(0, 30))
    stay = 1800 + 300 * draw(st.integers(0, 30))
    spans = ((come, come + stay), (come + stay + 1800, come + 2 * stay + 1800), (DAY + come, DAY + come + stay))
    return draw(st.sampled_from(((), spans[:1], spans[:2], (spans[0], spans[2]))))


@st.composite
def cases(draw: st.DrawFn, most_people: int = 5) -> Case:
    """Up to five people, three ages, two sets at each; some of it on skin; sometimes one set the next day."""
    bench = draw(benches())
    ages = draw(st.lists(st.sampled_from(AGES), min_size=1, max_size=3, unique=True))
    ages += draw(st.sampled_from(([], [], [DAY])))
    replicates = draw(st.integers(1, 2))
    skin = draw(st.sampled_from((False, False, True)))
    strips = draw(st.integers(1, 3))
    people = [Person(f"p{number}", draw(windows())) for number in range(draw(st.integers(1, most_people)))]
    wanted = []
    for person in people:
        for age in ages:
            tolerance = age // draw(st.sampled_from((4, 10)))
            for turn in range(replicates):
                name = f"{person.panelist}-{age}-{turn}"
                wanted.append(Wanted(name, person.panelist, age, tolerance, strips))
                if skin and age >= 600 and turn == 0:
                    one = Wanted(f"{name}-skin", person.panelist, age, tolerance, 2, "skin", "left+right", "arms")
                    wanted.append(one)
    return wanted, people, bench


def disturbed(found: Timetable, now: int, off: int, mask: int) -> tuple[dict[str, int], dict[str, int]]:
    """Some dips tapped late, some not made; of what is dipped some was smelt on time."""
    dipped: dict[str, int] = {}
    smelt: dict[str, int] = {}
    made: dict[tuple[str, int], int | None] = {}
    for number, line in enumerate(found.lines):
        late = line.dip_to + off * (mask >> number % 16 & 1)
        tapped = made.setdefault((line.panelist, line.dip_from), late if late <= now else None)
        if tapped is None:
            continue
        dipped[line.serving_id] = tapped
        if max(line.smell_from, tapped) <= now and mask >> (number + 3) % 16 & 1:
            smelt[line.serving_id] = max(line.smell_from, tapped)
    return dipped, smelt


# --- a small panel ----------------------------------------------------------------------------------------------------

ADA, BEN = Person("Ada"), Person("Ben")
WANTED = [Wanted(f"{who}{age}", who, age, 30, 3) for who in ("Ada", "Ben") for age in (300, 900)]
PEOPLE = [Person("Ada", ((0, 7200),)), Person("Ben", ((0, 7200),))]
BENCH = Bench(sets_per_sitting=1, latest_end_seconds=7200)
SKIN = Bench(
    seconds_per_application=60, wash_seconds=1800, drying_seconds=120, washout_seconds=DAY, seconds_per_smell=90
)


def arms(name: str, age: int, group: str = "") -> Wanted:
    return Wanted(name, "Ada", age, age // 10, 2, "skin", "left upper+right upper", group)


def fitting(wanted: list[Wanted], people: list[Person], bench: Bench) -> Timetable:
    found = plan_timetable(wanted, people, bench)
    assert isinstance(found, Timetable), found
    assert breaks(found, wanted, people, bench) == ()
    return found
