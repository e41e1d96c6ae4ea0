"""What effect of a change a panel would find, in words, with how it was worked out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from evaluation.ground.tables_digits import fixed
from evaluation.kinds.separation import FEWEST_BY_PERSON
from evaluation.planning.effect_sizes import EffectSize
from evaluation.wording.of_verdicts import count, percent


def size_lines(size: EffectSize, people: int, tests: str = "tested") -> tuple[str, ...]:
    """What effect such a panel would find, and how that was worked out; ``tests``: what their number is made of."""
    if size.alone is None or size.among_all is None:
        return (_described(size, people),)
    return tuple(_sizes(size, tests))


def _sizes(size: EffectSize, tests: str) -> Iterator[str]:
    alone, among = fixed(size.alone or 0, 2), fixed(size.among_all or 0, 2)
    yield (
        f"With power {percent(size.power)} (the chance to find it) an effect of {alone} scatters is found if it is the "
        f"only one tested, of {among} among all {size.rows} {tests}; a scatter is the standard deviation with which "
        "one person rates one bottle again."
    )
    what = "people" if size.by == "person" else "pairs of bottles that differ in one change alone"
    yield (
        f"Worked out by the noncentral t over {size.signs} {what}, by Bonferroni’s bound among all, for people who all "
        "see the same effect and bottles weighed without error: where people differ, it takes more."
    )
    if size.by == "pairs":
        yield _BY_PAIRS


_BY_PAIRS: Final = (
    f"Fewer than {FEWEST_BY_PERSON} people: signs are turned by pairs of bottles, so it speaks for this panel and "
    "these bottles only."
)


def _described(size: EffectSize, people: int) -> str:
    if not size.rows:
        return "Nothing is rated in numbers, so no effect can be worked out: add a descriptor."
    return (
        f"{count(people, 'person', 'people')} and {count(size.signs, 'pair', 'pairs')} of bottles that differ in one "
        f"change alone: effects are described, nothing is tested; that takes {FEWEST_BY_PERSON} pairs or people."
    )
