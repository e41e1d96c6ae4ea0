"""What the live numbers show besides the sentences of evaluation/wording.py; no screen here."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from parts import plan_form

from evaluation import wording
from evaluation.outlook import FEW, Alternative, Outlook
from evaluation.sessions import DIRECTED, Plan
from evaluation.wording_verdicts import percent

BETTER_LEAD: Final = "Better designs for the same difference (equal d-prime), and what they cost"
FIVE: Final = "Five people can never reach .05, however much they agree."


@dataclass(frozen=True, slots=True)
class Lines:
    """The sentences of an outlook: the one to read first, the rest, and what cannot occur."""

    first: str
    rest: tuple[str, ...]
    cannot: tuple[str, ...]


def lines(outlook: Outlook) -> Lines:
    """The sentences of ``wording.outlook_lines`` in groups; better designs stand in a table of their own."""
    plain = replace(outlook, better=())
    first, *rest = wording.outlook_lines(replace(plain, impossible=()))
    cannot = tuple(line for line in wording.outlook_lines(plain) if line not in {first, *rest})
    if outlook.method == "preference" and outlook.alpha_used <= 0.05:
        rest.insert(1, FIVE)
    return Lines(first, tuple(rest), cannot)


def work(plan: Plan) -> str:
    """Strips, dips and preparer minutes."""
    load = plan_form.load(plan)
    return (
        f"To prepare: {load.strips} strips, each dipped once, about {load.minutes} minutes (reckoned at "
        f"{plan_form.SECONDS_PER_STRIP} s a strip, our proposal); {load.spare_strips} more for spare sets, dipped "
        "only when needed."
    )


def better(outlook: Outlook) -> list[tuple[str, str, str, str]]:
    """Design, power, strips a nose and whom it speaks for; none where the plan is large and strong enough."""
    if outlook.assessments >= FEW and outlook.power >= 1.0 - outlook.beta:
        return []
    return [(design(each), percent(each.power), str(each.strips_per_nose), each.speaks_for) for each in outlook.better]


def design(other: Alternative) -> str:
    """What would be done otherwise."""
    if other.kind == "method":
        named = ", naming a quality" if other.method in DIRECTED else ""
        return f"{wording.method_name(other.method)}{named}"
    return _DESIGNS[other.kind].format(people=other.people, replicates=other.replicates)


_DESIGNS: Final = {
    "one age": "One strip age only",
    "replicates": "{replicates} sets per panelist",
    "people": "{people} panelists",
}
