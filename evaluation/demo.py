"""An invented house with its sessions, replayed through the same actions a conductor and a panel use.

``demo_sessions/`` holds what is played: trials, plans, the secret seeds, and the truth from which the answers are
simulated. The truth of a forced choice is the share of sets in which the difference is noticed (``share``) or a
``d_prime``; that of a preference is the share of people on each side; that of a profile the level of each descriptor
and trial at each age, and how far ratings scatter.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any, Final

from evaluation import statistics
from evaluation.actions import (
    ballot,
    bench,
    book,
    bottle_book,
    findings,
    formulas,
    plan,
    seal,
    separating,
    series_sittings,
    skin,
)
from evaluation.actions.ballot import BallotView
from evaluation.clock import SteppedClock
from evaluation.formulas import read_lines
from evaluation.formulas.separated import changes_between
from evaluation.ground.intake import OURS, file_bytes, json_of
from evaluation.ground.places import folder
from evaluation.ground.tables_digits import fixed
from evaluation.ground.terms import SURENESS as SURE
from evaluation.kinds import Method, Separation, kind_of
from evaluation.planning.layouts import ALL, combinations_of
from evaluation.series import Final as FinalDesign
from evaluation.series import SealedSeries, Series
from evaluation.serving import blinding
from evaluation.serving.asking import RATE, STRENGTH, WEAR
from evaluation.serving.draws import SEED_BYTES, Stream
from evaluation.sessions import NO_PREFERENCE, OVERALL, TRIAL_LETTERS, Plan, Question, Seat, Session, StripAge
from evaluation.store import Notebook
from evaluation.values.descriptors import Descriptor

HOUSE: Final = "house.json"
FALSE_LEAD: Final = "false-lead.json"
SUSPECT: Final = "innocent-suspect.json"
FINE: Final = 1_000_000  # steps in which a share is drawn
TOLERANCE: Final = 10  # a tenth of the strip age


@dataclass(frozen=True, slots=True)
class Scenario:
    """One session of ``demo_sessions/`` as its file tells it."""

    name: str
    about: str
    until: str  # "draft", "sealed" or "opened"
    seed: bytes
    plan: Mapping[str, Any]
    truth: Mapping[str, Any]
    remarks: Mapping[str, str]
    expected: tuple[Mapping[str, Any], ...]


def scenarios() -> tuple[Scenario, ...]:
    """Every session of the demo, in the order in which they were held."""
    return tuple(_read(path) for path in sorted(folder("demo_sessions").glob("[0-9]*.json")))


def load(notebook: Notebook) -> tuple[Session, ...]:
    """Play the whole demo into ``notebook``; returns the sessions of its first brief as they stand then.

    Of three briefs the first is written last, so that it is the one shown first.
    """
    house, other = (_told(folder("demo_sessions") / name) for name in (HOUSE, SUSPECT))
    panel = [book.add_panelist(notebook, alias).id for alias in house["panel"]]
    load_false_lead(notebook, panel)
    for one in (*house["materials"], *other["materials"]):
        skin.add_material(notebook, **one)
    suspect = _written(notebook, other, panel)
    first = _written(notebook, house, panel)
    sessions = tuple(_play(notebook, one, planned(one.plan, *first)) for one in scenarios())
    load_suspect(notebook, suspect)
    return sessions


_Written = tuple[str, dict[str, str], list[str]]  # the brief's id, its trials by label, the panel


def _written(notebook: Notebook, told: Mapping[str, Any], panel: list[str]) -> _Written:
    brief = book.add_brief(notebook, told["brief"]["title"], told["brief"]["text"])
    trials = _trials(notebook, brief.id, told["trials"], Decimal(told["parts_of"]))
    _bottles(notebook, told, trials)
    return brief.id, trials, panel


def load_suspect(notebook: Notebook, known: _Written) -> tuple[Session, Session]:
    """A brief in which the obvious suspect is innocent: two changes smelt at once, then told apart by four bottles."""
    told = _told(folder("demo_sessions") / SUSPECT)
    at_once, apart = (_suspected(told, part) for part in ("at once", "apart"))
    first = _play(notebook, at_once, planned(at_once.plan, *known))
    draft = _to_tell_apart(notebook, apart.plan, known)
    return first, _smelt(notebook, apart, seal.seal(notebook, draft.id, apart.seed))


def _suspected(told: Mapping[str, Any], part: str) -> Scenario:
    own = told[part]
    return Scenario(part, told["about"], "opened", bytes.fromhex(own["seed"]), own["plan"], own["truth"], {}, ())


def _to_tell_apart(notebook: Notebook, told: Mapping[str, Any], known: _Written) -> Session:
    """A draft of bottles weighed together, which tell the changes between two trials apart."""
    brief_id, trials, panel = known
    names, made_of = tuple(told["separates"]), formulas.formulas(notebook, brief_id)
    changes = changes_between(made_of[trials[told["first"]]], made_of[trials[told["second"]]], names)
    solvent = next(one for one in skin.materials(notebook) if one.solvent)
    separation = Separation(names, combinations_of(ALL, len(names)))
    wanted = separating.Wanted(trials[told["first"]], changes, separation, solvent)
    draft = separating.write_bottles(notebook, wanted, _fields(told, brief_id, panel))
    mixed = _ago(_today(notebook), told["mixed_days_ago"])
    separating.weighed(notebook, draft.id, mixed, mixed, Decimal(told["strength_percent"]))
    return draft


def load_false_lead(notebook: Notebook, panel: list[str]) -> tuple[Session, SealedSeries]:
    """A brief of two equal trials: its search, which makes one lead by chance, and the final that says so."""
    told = _told(folder("demo_sessions") / FALSE_LEAD)
    brief = book.add_brief(notebook, told["brief"]["title"], told["brief"]["text"])
    ids: dict[str, str] = {}
    for one in told["trials"]:
        parent = ids.get(one["parent"] or "")
        made = book.add_trial(
            notebook, brief.id, one["label"], parent, one["changed"], Decimal(told["strength_percent"])
        )
        ids[one["label"]] = made.id
    searched = _scenario_of(told, "search")
    session = _play(notebook, searched, planned(searched.plan, brief.id, ids, panel))
    held = _scenario_of(told, "final")
    plan_of_final = planned(held.plan, brief.id, ids, panel)
    design = FinalDesign("preferred", "second", told["final"]["cap"])
    sealed = series_sittings.seal_series(notebook, Series(plan=plan_of_final, design=design))
    draft = series_sittings.next_sitting(notebook, sealed.id, f"{held.plan['title']}, sitting 1", sealed.series.people)
    _smelt(notebook, held, seal.seal(notebook, draft.id, held.seed))
    return session, sealed


def _scenario_of(told: Mapping[str, Any], part: str) -> Scenario:
    own = told[part]
    what = {**told["plan"], "title": own["title"]}
    return Scenario(part, told["about"], "opened", bytes.fromhex(own["seed"]), what, own["truth"], {}, ())


def planned(told: Mapping[str, Any], brief_id: str, trials: Mapping[str, str], panel: list[str]) -> Plan:
    """The plan a file tells, for trials and people by id."""
    return Plan.of(
        **_fields(told, brief_id, panel),
        method=told["method"],
        first_trial_id=trials[told["first"]],
        second_trial_id=trials[told["second"]],
        medium="strip",
        descriptor=told.get("descriptor", ""),
        expected=told.get("expected", ""),
        plain_difference=told.get("plain_difference", False),
    )


def _fields(told: Mapping[str, Any], brief_id: str, panel: list[str]) -> dict[str, Any]:
    """What a plan is told beside its method and its trials."""
    people, spare = told["people"], told.get("spare_seats", 0)
    seats = [*panel[:people], *[None] * spare]
    return {
        "brief_id": brief_id,
        "title": told["title"],
        "ages": tuple(StripAge(60 * m, 60 * m // TOLERANCE) for m in told["ages_minutes"]),
        "primary": 60 * told["primary"] if isinstance(told["primary"], int) else told["primary"],
        "replicates": 1,
        "seats": tuple(Seat(number, person) for number, person in enumerate(seats, start=1)),
        "alpha": Decimal("0.05"),
        "beta": Decimal("0.05"),
        "pd": Decimal("0.30"),
        "confirmed": tuple(told.get("confirmed", ())),
        "descriptors": tuple(Descriptor(*one) for one in told.get("descriptors", ())),
        "asks_strength": kind_of(told["method"]).rates,
        "draw": blinding.law_now(solo=False),
    }


# --- from draft to opened -----------------------------------------------------------------------------------------


def _play(notebook: Notebook, scenario: Scenario, what: Plan) -> Session:
    draft = plan.add_draft(notebook, what)
    if scenario.until == "draft":
        return draft
    sealed = seal.seal(notebook, draft.id, scenario.seed)
    if scenario.until == "sealed":
        return sealed
    return _smelt(notebook, scenario, sealed)


def _smelt(notebook: Notebook, scenario: Scenario, sealed: Session) -> Session:
    trays = _prepared(notebook, sealed)
    bench.start(notebook, sealed.id)
    for seat in bench.progress(notebook, sealed.id):
        if seat.panelist_id is not None:
            _answer(notebook, scenario, Nose(scenario.truth, sealed.plan, seat.seat, trays), seat.ballot_id)
    bench.close(notebook, sealed.id)
    return findings.open_session(notebook, sealed.id)


def _prepared(notebook: Notebook, session: Session) -> dict[tuple[str, ...], str]:
    """The order behind the codes of every set, learned as the helper does who dips the strips."""
    sheet = bench.preparation(notebook, session.id, None)
    labels = dict(bench.letter_key(notebook, session.id, None))
    with notebook.reading() as tx:
        names = [tx.bottles.label(one) for one in session.plan.trial_ids]
    letters = {vial: TRIAL_LETTERS[names.index(label)] for vial, label in labels.items()}
    return {line.codes: "".join(letters[one] for one in line.letters) for line in sheet}


def _answer(notebook: Notebook, scenario: Scenario, nose: Nose, ballot_id: str) -> None:
    remark = scenario.remarks.get(str(nose.seat), "")
    while (view := ballot.view(notebook, ballot_id)).question is not None:
        asked = view.question
        if asked.scale:
            rated = {one.name: nose.rating(one, view) for one in view.screen}
            ballot.lock_screen(notebook, ballot_id, asked.serving_id, rated)
            _pass_time(notebook, 0.5)
            continue
        said = remark if asked.name == "choice" else ""
        ballot.lock(notebook, ballot_id, asked.serving_id, asked.name, nose.answer(asked, view), said)
        remark = "" if said else remark
        _pass_time(notebook, 0.5)


def _pass_time(notebook: Notebook, minutes: float) -> None:
    if isinstance(notebook.clock, SteppedClock):
        notebook.clock.forward(minutes=minutes)


# --- what a simulated nose answers ----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Nose:
    """One simulated panelist; ``trays`` tells the order behind the codes, which only a simulation may know."""

    truth: Mapping[str, Any]
    plan: Plan
    seat: int
    trays: Mapping[tuple[str, ...], str]

    def answer(self, asked: Question, view: BallotView) -> str:
        """The answer to one question, drawn from the truth."""
        when = OVERALL if asked.serving_id == "" else str(view.age_seconds // 60)
        if asked.name in ("choice", "nearer", OVERALL):
            prefers = self.plan.kind.votes
            return self._preferred(asked, when) if prefers else self._forced(asked, when)
        if asked.name == "sure":
            return SURE[2] if self.plan.kind.votes or self._notices(asked, when) else SURE[0]
        if asked.name.startswith(("wear ", "strength ")):
            return self._impression(asked)
        return "no"

    def rating(self, asked: Question, view: BallotView) -> str:
        """The true level, this person's way with the scale (drawn once), and a scatter of one strip; 0 to 10."""
        word, trial = asked.name.removeprefix(RATE), self._trial(asked.codes[0])
        ages = [str(age.seconds // 60) for age in self.plan.ages]
        level = self.truth["levels"][word][trial][ages.index(str(view.age_seconds // 60))]
        own = self._stream("own way").below(FINE) / FINE - 0.5
        strip = self._stream(f"{word} {asked.codes}").below(FINE) / FINE - 0.5
        return fixed(min(10.0, max(0.0, level + 2 * own + self.truth["scatter"] * strip)), 1)

    def _stream(self, purpose: str) -> Stream:
        seed = int(self.truth["seed"], 16).to_bytes(SEED_BYTES, "big")
        return Stream(seed, f"{purpose} of seat {self.seat}")

    def _notices(self, asked: Question, when: str) -> bool:
        drawn = self._stream(f"noticing {when} {asked.serving_id and asked.codes}").below(FINE)
        return drawn < FINE * share(self.truth, self.plan.method, when)

    def _forced(self, asked: Question, when: str) -> str:
        """The right answer to whoever notices; to the others any answer is as good as another."""
        if self._notices(asked, when):
            return blinding.correct_value(self.plan.method, self.trays[asked.codes], asked.codes, self.plan.expected)
        guesses = self._stream(f"guess {when} {asked.codes}").shuffled(asked.options)[: asked.pick]
        return "+".join(option for option in asked.options if option in guesses)

    def _preferred(self, asked: Question, when: str) -> str:
        """A person's liking is drawn once, so that nobody changes sides without a reason in the truth."""
        liking = self._stream("liking").below(FINE) / FINE
        second, none = self.truth["second"][when], self.truth["none"][when]
        if liking >= second and liking < second + none:
            return NO_PREFERENCE
        wanted = "B" if liking < second else "A"
        return next(option for option in asked.options if self._trial(option) == wanted)

    def _trial(self, option: str) -> str:
        """The trial behind a code, or behind a group of codes of one trial."""
        code = option.split(" ")[0]
        return next((tray[codes.index(code)] for codes, tray in self.trays.items() if code in codes), "")

    def _impression(self, asked: Question) -> str:
        kind, code = asked.name.split(" ", 1)
        offered, trial = {"wear": WEAR, "strength": STRENGTH}[kind], self._trial(code)
        lean = 0 if trial == "B" else 1
        return offered[min(len(offered) - 1, lean + self._stream(f"{kind} {trial}").below(len(offered) - 1))]


def share(truth: Mapping[str, Any], method: Method, when: str) -> float:
    """The true share of sets in which the difference is noticed, from ``share`` or by way of ``d_prime``."""
    if "share" in truth:
        return float(truth["share"][when])
    guessing = statistics.chance(method)
    return (float(statistics.proportion_correct(truth["d_prime"][when], method)) - guessing) / (1.0 - guessing)


# --- files --------------------------------------------------------------------------------------------------------


def _told(path: Path) -> Any:
    return json_of(file_bytes(path, OURS), OURS)


def _read(path: Path) -> Scenario:
    told = _told(path)
    return Scenario(
        path.stem,
        told["about"],
        told["until"],
        bytes.fromhex(told["seed"]),
        told["plan"],
        told["truth"],
        told["remarks"],
        tuple(told["expected"]),
    )


def _trials(notebook: Notebook, brief_id: str, told: list[dict[str, Any]], parts_of: Decimal) -> dict[str, str]:
    """Trial ids by label; dates are days before today, so that the demo never ages."""
    today = _today(notebook)
    ids: dict[str, str] = {}
    for one in told:
        mixed, diluted = _ago(today, one["mixed_days_ago"]), _ago(today, one["diluted_days_ago"])
        strength, parent = Decimal(one["strength_percent"]), ids.get(one["parent"] or "")
        made = book.add_trial(
            notebook, brief_id, one["label"], parent, one["changed"], strength, mixed, diluted, one["batch"]
        )
        formulas.write(notebook, made.id, read_lines("\n".join(one["formula"])), parts_of)
        ids[one["label"]] = made.id
    return ids


def _bottles(notebook: Notebook, house: Mapping[str, Any], trial_ids: Mapping[str, str]) -> None:
    """Where the first bottle of each trial stands, and the further ones."""
    for trial_id in trial_ids.values():
        bottle_book.change_bottle(notebook, trial_id, stored=house["kept"])
    today = _today(notebook)
    for one in house["bottles"]:
        bottle_book.add_bottle(
            notebook,
            trial_ids[one["trial"]],
            one["mark"],
            strength_percent=Decimal(one["strength_percent"]),
            mixed_on=_ago(today, one["mixed_days_ago"]),
            diluted_on=_ago(today, one["diluted_days_ago"]),
            batch=one["batch"],
            stored=one["stored"],
        )


def _today(notebook: Notebook) -> date:
    return datetime.fromtimestamp(notebook.clock.now() / 1000, UTC).date()


def _ago(today: date, days: int) -> date:
    return today - timedelta(days=days)
