"""Small sessions that tests start from, and ballots answered by rule."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from evaluation.sessions import Plan, Question, Seat, Session, StripAge

SEED = bytes(range(32))


def ages(*minutes: float) -> tuple[StripAge, ...]:
    """Strip ages with a tolerance of a tenth, at least five seconds."""
    return tuple(StripAge(int(m * 60), max(5, int(m * 6))) for m in minutes)


def seats(people: int, spare: int = 0) -> tuple[Seat, ...]:
    named = [Seat(number, f"person-{number}") for number in range(1, people + 1)]
    return (*named, *(Seat(people + number, None) for number in range(1, spare + 1)))


def plan(people: int = 8, spare: int = 0, minutes: tuple[float, ...] = (5,), **changes: Any) -> Plan:
    """A triangle plan that can be sealed, with ``changes`` to any of its fields."""
    strip_ages = ages(*minutes)
    fields: dict[str, Any] = {
        "brief_id": "brief",
        "title": "Trial 7 against trial 8",
        "method": "triangle",
        "first_trial_id": "trial-7",
        "second_trial_id": "trial-8",
        "medium": "strip",
        "ages": strip_ages,
        "primary": strip_ages[0].seconds,
        "replicates": 1,
        "seats": seats(people, spare),
        "alpha": Decimal("0.05"),
        "beta": Decimal("0.05"),
        "pd": Decimal("0.30"),
    }
    if changes.get("method") in {"2-afc", "3-afc"}:
        fields |= {"descriptor": "smokier", "expected": "second"}
    return Plan(**(fields | changes))


@dataclass(frozen=True)
class Scene:
    """A brief with two trials and a panel in a notebook."""

    notebook: Any
    brief_id: str
    trial_ids: tuple[str, str]
    panelist_ids: tuple[str, ...]

    def plan(self, spare: int = 0, people: int | None = None, **changes: Any) -> Plan:
        sitting = self.panelist_ids[:people]
        taken = tuple(Seat(n, who) for n, who in enumerate(sitting, start=1))
        free = tuple(Seat(len(taken) + n, None) for n in range(1, spare + 1))
        fields = {
            "brief_id": self.brief_id,
            "first_trial_id": self.trial_ids[0],
            "second_trial_id": self.trial_ids[1],
            "seats": taken + free,
            "confirmed": ("not noticed",),  # eight answers can never show that
        }
        return plan(**(fields | changes))

    def sealed(self, **changes: Any) -> Session:
        from evaluation.actions import plan as planning
        from evaluation.actions import seal

        draft = planning.add_draft(self.notebook, self.plan(**changes))
        return seal.seal(self.notebook, draft.id, SEED)

    def smelling(self, **changes: Any) -> Session:
        from evaluation.actions import bench

        return bench.start(self.notebook, self.sealed(**changes).id)


def scene(notebook: Any, people: int = 8) -> Scene:
    from evaluation.actions import book

    brief = book.add_brief(notebook, "A dry garden", "Fig leaf after rain, no sugar.")
    seven = book.add_trial(notebook, brief.id, "7", strength_percent=Decimal(10))
    eight = book.add_trial(notebook, brief.id, "8", seven.id, "vetiver 2 to 3", strength_percent=Decimal(10))
    known = {one.alias: one.id for one in book.panelists(notebook)}  # a second scene has the same panel
    aliases = [f"Nose {number}" for number in range(1, people + 1)]
    panel = tuple(known.get(alias) or book.add_panelist(notebook, alias).id for alias in aliases)
    return Scene(notebook, brief.id, (seven.id, eight.id), panel)


def first_option(question: Question) -> str:
    """The most obedient panelist: always the first offer."""
    return "+".join(question.options[: question.pick])


def answer_all(notebook: Any, ballot_id: str, how: Callable[[Question], str] = first_option) -> int:
    """Answer a ballot to its end; returns the number of answers locked."""
    from evaluation.actions import ballot

    for count in range(1000):
        asked = ballot.view(notebook, ballot_id).question
        if asked is None:
            return count
        ballot.lock(notebook, ballot_id, asked.serving_id, asked.name, how(asked))
    raise AssertionError("a ballot without an end")


def ballots(notebook: Any, session_id: str) -> list[Any]:
    with notebook.reading() as tx:
        return sorted(tx.ballots.ballots(session_id), key=lambda one: one.seat)


def key_of(notebook: Any, session_id: str) -> Any:
    """What the key holds, for a test that has to know: asked as the preparer."""
    with notebook.writing() as tx:
        return tx.key.key_for_preparer(session_id, None)
