"""Small sessions that tests start from, and ballots answered by rule."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from functools import partial
from typing import Any

from evaluation.planning.prospects import ASKED_FOR
from evaluation.sessions import Plan, Question, Seat, Serving, Session, StripAge
from evaluation.values.descriptors import Descriptor
from evaluation.values.second_strips import SecondStrip
from tests.methods import SEVERAL

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
    return Plan.of(**(fields | changes))


RATED = (
    Descriptor("woody", family="base", low="none", high="very"),
    Descriptor("smoky", family="base", low="none", high="very"),
    Descriptor("green", family="top", low="none", high="very"),
)


@dataclass(frozen=True)
class Scene:
    """A brief with two trials and a panel in a notebook."""

    notebook: Any
    brief_id: str
    trial_ids: tuple[str, str]
    panelist_ids: tuple[str, ...]

    def plan(self, spare: int = 0, people: int | None = None, trials: int = 2, **changes: Any) -> Plan:
        """A plan that can be sealed. ``method="profile"`` (or round, ranking) with ``trials=3`` adds trials 9, 10, …"""
        sitting = self.panelist_ids[:people]
        taken = tuple(Seat(n, who) for n, who in enumerate(sitting, start=1))
        free = tuple(Seat(len(taken) + n, None) for n in range(1, spare + 1))
        fields: dict[str, Any] = {
            "brief_id": self.brief_id,
            "first_trial_id": self.trial_ids[0],
            "second_trial_id": self.trial_ids[1],
            "seats": taken + free,
            "confirmed": ("not noticed",),  # eight answers can never show that
        }
        if changes.get("method") in SEVERAL:
            fewest = SEVERAL[changes["method"]][0]
            cannot_occur = (
                ASKED_FOR[changes["method"]],
            )  # confirmed beforehand, for panels too small to find anything
            fields |= {"title": f"A {changes['method']}", "confirmed": cannot_occur}
            fields |= {"other_trial_ids": self.trials(max(fewest, trials))[2:]}
        if changes.get("method") == "profile":
            fields |= {"descriptors": RATED}
        return plan(**(fields | changes))

    def trials(self, count: int) -> tuple[str, ...]:
        """The ids of the scene's two trials and of further ones, named 9, 10, …; those not there yet are made."""
        from evaluation.actions import book

        known = {one.label: one.id for one in book.trials(self.notebook, self.brief_id)}
        found = list(self.trial_ids)
        for label in map(str, range(9, 7 + count)):
            if label not in known:
                more = {"strength_percent": Decimal(10)}
                known[label] = book.add_trial(self.notebook, self.brief_id, label, found[-1], **more).id
            found.append(known[label])
        return tuple(found)

    def sealed(self, **changes: Any) -> Session:
        from evaluation.actions import plan as planning
        from evaluation.actions import seal

        draft = planning.add_draft(self.notebook, self.plan(**changes))
        return seal.seal(self.notebook, draft.id, SEED)

    def smelling(self, **changes: Any) -> Session:
        from evaluation.actions import bench

        return bench.start(self.notebook, self.sealed(**changes).id)


def fan(scene: Scene, *strips: SecondStrip) -> dict[str, Any]:
    """What makes a plan of the scene a fan of two strips beside its first trial: cedar, fig and iris unless others."""
    first = scene.trial_ids[0]
    own = strips or tuple(SecondStrip(one, Decimal(n)) for one, n in (("cedar", "0.2"), ("fig", "1"), ("iris", "2")))
    beside = {"second_strips": own, "second_solvent": "ethanol", "first_trial_id": first, "second_trial_id": first}
    return {"method": "ranking", "other_trial_ids": (), "minutes": (30,), "confirmed": ()} | beside


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
    """The most obedient panelist: always the first offer; the middle of a line, a tray as it lies."""
    if question.kind == "line":
        return "5.0"
    return (">" if question.kind == "ranking" else "+").join(question.options[: question.pick])


def answer_all(notebook: Any, ballot_id: str, how: Callable[[Question], str] = first_option) -> int:
    """Answer a ballot to its end; returns the number of answers locked."""
    from evaluation.actions import ballot

    count = 0
    for _ in range(1000):
        screen = ballot.view(notebook, ballot_id).screen
        if not screen:
            return count
        ballot.lock_screen(notebook, ballot_id, screen[0].serving_id, {asked.name: how(asked) for asked in screen})
        count += len(screen)
    raise AssertionError("a ballot without an end")


def answer_profile(
    notebook: Any, session_id: str, rate: Callable[[int, str, Serving, str], str], people: int | None = None
) -> None:
    """Answer a profile by rule: ``rate(seat, letter, serving, descriptor)``, the letter "A" being the first trial.

    ``rate`` returns what the ballot stores: "6.5", "not smelt", "skip", "yes", "right", … ``people``: how many answer.
    """
    orders = dict(key_of(notebook, session_id).orders)
    served = {one.id: one for one in _served(notebook, session_id)}

    def how(seat: int, asked: Question) -> str:
        if not asked.serving_id:
            return first_option(asked)
        serving = served[asked.serving_id]
        return rate(seat, orders[serving.id], serving, asked.name.removeprefix("rate "))

    for one in _taken(notebook, session_id, people):
        answer_all(notebook, one.id, partial(how, one.seat))


def answer_by_worth(
    notebook: Any, session_id: str, worth: Callable[[int, str], float], people: int | None = None
) -> None:
    """Answer a round, ranking or preference by rule: each seat likes a trial as ``worth(seat, letter)`` says.

    A round's tie is "no preference"; a ranking's tie is broken by the tray.
    """
    orders = dict(key_of(notebook, session_id).orders)

    def how(seat: int, asked: Question) -> str:
        if asked.name not in {"choice", "nearer", "ranking"}:
            return first_option(asked)
        liked = {c: worth(seat, t) for c, t in zip(asked.codes, orders[asked.serving_id], strict=True)}
        best = sorted(asked.codes, key=lambda code: -liked[code])
        if asked.name == "ranking":
            return ">".join(best)
        return "none" if "none" in asked.options and liked[best[0]] == liked[best[1]] else best[0]

    for one in _taken(notebook, session_id, people):
        answer_all(notebook, one.id, partial(how, one.seat))


def _served(notebook: Any, session_id: str) -> tuple[Serving, ...]:
    with notebook.reading() as tx:
        return tuple(tx.sittings.servings(session_id))


def _taken(notebook: Any, session_id: str, people: int | None) -> list[Any]:
    return [one for one in ballots(notebook, session_id) if one.panelist_id is not None][:people]


def ballots(notebook: Any, session_id: str) -> list[Any]:
    with notebook.reading() as tx:
        return sorted(tx.ballots.ballots(session_id), key=lambda one: one.seat)


def begun(notebook: Any, session_id: str) -> None:
    """Every set dipped and begun on time, for tests of what comes after: no ballot waits or asks about an age."""
    from evaluation.actions.begins import write_begin
    from evaluation.serving.dipping import Judged, Pace, planned_age

    with notebook.writing() as tx:
        plan, now = tx.sittings.session(session_id).plan, tx.clock.now()
        by_seat = {one.seat: one.id for one in tx.ballots.ballots(session_id)}
        for one in tx.sittings.servings(session_id):
            planned = planned_age(plan, one)
            if one.warm_up or planned is None:
                continue
            tx.live.dip(one.id, now - 1000 * planned.seconds + len(one.codes) * 500 * Pace().each(one))
            found = Judged("", 1000 * planned.seconds, planned)
            write_begin(tx, session_id, by_seat[one.seat], one, found, now)


def key_of(notebook: Any, session_id: str) -> Any:
    """What the key holds, for a test that has to know: asked as the preparer."""
    with notebook.writing() as tx:
        return tx.key.key_for_preparer(session_id, None)
