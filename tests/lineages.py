"""Lineages made for tests: a brief, what was opened of it, and formulas, without a notebook."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from evaluation.deciding.evidence import Evidence, TrialShown
from evaluation.deciding.lineages import Lineage, pairs_of, places, step
from evaluation.formulas import Formula, difference
from tests import made_briefs

Trial = tuple[str, str | None]  # label, and that of the trial it was made from


def trials(made: Iterable[Trial], changed: str = "a change") -> tuple[TrialShown, ...]:
    """Trials whose ids are their labels."""
    return tuple(TrialShown(label, label, parent, changed, n) for n, (label, parent) in enumerate(made))


def lineage(
    made: Sequence[TrialShown],
    opened: Sequence[Any] = (),
    held: Sequence[Any] = (),
    decided: Mapping[str, str] | None = None,
    formulas: Mapping[str, Formula] | None = None,
    lead: str = "",
) -> Lineage:
    """What the action makes of a notebook, of values; ``held`` has the states and plans of sessions not opened."""
    seen, known = made_briefs.brief(made, opened), formulas or {}
    steps, others = pairs_of(seen, held)
    between = {
        pair: step(pair, seen, held, difference(known[pair[0]], known[pair[1]]) if set(pair) <= set(known) else None)
        for pair in (*steps, *others)
    }
    by_child = {second: between[first, second] for first, second in steps}
    return Lineage(seen, places(seen.parents), by_child, tuple(between[one] for one in others), decided or {}, lead)


def chain(number: int, label: str = "{}") -> tuple[TrialShown, ...]:
    """Each trial made from the one before."""
    names = [label.format(n) for n in range(1, number + 1)]
    return trials(zip(names, [None, *names], strict=False))


def star(number: int) -> tuple[TrialShown, ...]:
    """All made from the first."""
    return trials([("1", None), *((str(n), "1") for n in range(2, number + 2))])


def of_nothing() -> Evidence:
    """A brief without a trial."""
    return made_briefs.brief((), ())
