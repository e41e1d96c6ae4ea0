"""What is typed into the fields of pages, and what their forms send, by somebody hostile: a value or one sentence.

Every field is tried with numbers that would fill the memory when they are written out, with a million digits, letters
that are none, and what is nearly right. What is typed is read by what the page itself calls; what it keeps is kept in
a notebook in which nothing stays.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from contextlib import redirect_stderr, redirect_stdout
from datetime import date
from decimal import Decimal
from functools import cache, partial
from pathlib import Path
from random import Random
from types import SimpleNamespace
from typing import Any
from unittest import mock

import pytest
from parts import typed_values
from parts.bench import making_times, sheet_routes
from parts.book import descriptor_list, target_list
from parts.keeping import backup_routes
from parts.plan import filled_form
from parts.plan.typed import Typed
from parts.skin import limits_entered

from evaluation import judge
from evaluation.actions import aims, bench, book, bottle_book, formulas, skin, timetable
from evaluation.clock import SteppedClock
from evaluation.errors import ArgumentError, MouilletteError
from evaluation.formulas import batch, read_lines
from evaluation.ground import terminal
from evaluation.ground.receipts import receipt_of
from evaluation.keeping import receipts_told
from evaluation.planning import sizes
from evaluation.planning.outlook import outlook_of
from evaluation.planning.prospects import prospect_of
from evaluation.skin import KINDS_OF_USE
from evaluation.store import Notebook
from evaluation.values.briefs import TARGET_KINDS, Brief
from tests import attacks, scenes
from tests.again import Tried
from tests.attacks import Ended

LARGE = ("9" * 1_000_000, "1," * 300_000, " " * 1_000_000, "[" * 300_000, "0." + "0" * 1_000_000 + "1", "\n" * 300_000)
NEAR = (
    "1e-44", "1e15", "0." + "9" * 40, "9" * 45, "1e-60", "5e-1", "50 %", " 5 ", "5,5", "5.5.5", "5;60", "0.05", "0.5", "1", "80",
    "0", "-5", "0.049999999999999999999999999999999999999999", "10080", "10081", "20 – 180", "14:05", "4:05", "24:00", "02:30",
    "14:05Z", "14:05+02:00", "T14", "Nose 1: 14:00-15:30", "Nose 1: 15:30-14:00, 4:00-5:00", "Europe/Paris", "../../etc/passwd",
    "UTC", "Etc/GMT+12", "woody", "overall", "1-1", "b" * 41, "9538-4cf0-5bdc",
)  # fmt: skip
TABLE = Path(__file__).parents[2] / "demo_sessions" / "birch-tar.csv"
BRIEF = Brief("b", "Salt on warm stone", "Dry and mineral.", 0)
GOOD = {
    "triangle": Typed("8 against 7", False, "triangle", "t7", "t8", people=("ann", "bo"), spares=2),
    "2-afc": Typed("8 against 7", False, "2-afc", "t7", "t8", people=("ann", "bo"), descriptor="fresh", size="own"),
    "preference": Typed("8 or 7", False, "preference", "t7", "t8", people=("ann", "bo")),
    "profile": Typed("All", False, "profile", None, None, people=("ann", "bo"), trial_ids=("a", "b"), descriptors=scenes.RATED),
    "round": Typed("All", False, "round", None, None, people=("ann", "bo"), trial_ids=("a", "b", "c"), pairs_each=3),
}  # fmt: skip
IN_PLANS = ("title", "ages", "tolerance", "alpha", "beta", "pd", "of_hundred", "descriptor", "zone", "skin_ages")


@cache
def kept() -> SimpleNamespace:
    """A notebook in which nothing stays, with a session being smelt."""
    held = Notebook.open(None, SteppedClock(step=1))
    scene = scenes.scene(held, people=3)
    session = scene.sealed()
    with held.reading() as tx:
        receipt = receipt_of(tx.log.records(session.id)[-1].hash)
    formula = read_lines("Vetiver oil;4;10\nCedar wood;12.5")
    entered = formulas.write(held, scene.trial_ids[0], formula, new_materials=True)
    return SimpleNamespace(notebook=Tried(held), scene=scene, session=session, receipt=receipt, formula=entered)


def text_of(chance: Random) -> str:
    """What somebody hostile types."""
    how = chance.randrange(20)
    if how == 0:
        return chance.choice(LARGE)
    if how < 5:
        return chance.choice(attacks.WORDS)
    if how < 10:
        return chance.choice(attacks.NUMBERS)
    text = chance.choice(NEAR)
    if how < 14:
        at = chance.randrange(len(text) + 1)
        return text[:at] + chance.choice((*attacks.LETTERS, *NEAR)) + text[at + chance.randrange(2) :]
    return text


# --- doors ------------------------------------------------------------------------------------------------------------


def _number(chance: Random, text: str) -> None:
    value = typed_values.number("limit", text, "0.8")
    assert len(f"{value:f}") < 200


def _ages(chance: Random, text: str) -> None:
    typed_values.tolerance_text(typed_values.strip_ages(*((text, "10") if chance.random() < 0.7 else ("5, 60", text))))


def _plan(chance: Random, text: str) -> None:
    """A plan, with all the live numbers beside its form."""
    start = GOOD[chance.choice(sorted(GOOD))]
    fields = {name: getattr(start, name) for name in Typed.__slots__}
    fields |= {
        name: text_of(chance) if at else text
        for at, name in enumerate(chance.sample(IN_PLANS, chance.choice((1, 1, 2))))
    }
    plan = filled_form.build(Typed(**fields), BRIEF)
    filled_form.typed_of(plan)
    (prospect_of if plan.kind.several else outlook_of)(plan)
    if plan.size is not None:
        sizes.costs(plan.size, float(plan.alpha), float(plan.beta))


def _target(chance: Random, text: str) -> None:
    typed = ["woody", chance.choice(TARGET_KINDS), "6.5", "60", "1"]
    typed[chance.choice((0, 2, 2, 3, 3, 4))] = text
    made = target_list.target_as_typed(*typed)
    assert len(target_list.line(made)) < 300
    aims.save_targets(kept().notebook, kept().scene.brief_id, (made,) * chance.choice((1, 1, 2, 61)))


def _descriptor(chance: Random, text: str) -> None:
    fields = {
        "name": "woody",
        "family": "base",
        "scale": "line",
        "definition": "",
        "low": "",
        "high": "",
        "reference": "",
    }
    fields[chance.choice(sorted(fields))] = text
    made = descriptor_list._typed(fields)
    aims.save_descriptors(kept().notebook, kept().scene.brief_id, (made,) * chance.choice((1, 1, 2, 41)))


def _limit(chance: Random, text: str) -> None:
    typed = {
        "percent": "0.8",
        "document": "invented sheet",
        "dated_on": date(2026, 1, 5),
        "kind_of_use": KINDS_OF_USE[0],
    }
    marks = {
        "name": "Oakmoss",
        "volatility": "base",
        "minutes": "",
        "natural": True,
        "solvent": False,
        "phototoxic": False,
    }
    (typed if chance.random() < 0.5 else marks)[chance.choice(("percent", "document", "name", "minutes"))] = text
    skin.add_material(
        kept().notebook,
        **limits_entered._of_material({k: marks[k] for k in marks if k in MARKS}),
        limit=limits_entered._read(typed),
    )


MARKS = ("name", "volatility", "minutes", "natural", "solvent", "phototoxic")


def _timetable(chance: Random, text: str) -> None:
    clocks = making_times._Clocks(
        chance.choice(("UTC", "Europe/Paris")), date(2026, 3, 29), chance.choice(making_times.ASK)
    )
    which = chance.randrange(3)
    begin = clocks.instant(text if which == 0 else "14:00")
    here = SimpleNamespace(notebook=kept().notebook)
    coming = {}
    if which == 1:
        with mock.patch.object(making_times.progress, "seats_of", lambda here, one: bench.progress(here.notebook, one)):
            coming = making_times._coming(here, kept().session, text, clocks)
    whole = dict.fromkeys(
        ("preparers", "dips_per_minute", "smell_seconds", "rest_seconds", "sets_per_sitting", "break_seconds"), 2
    )
    if which == 2:
        whole[chance.choice(sorted(whole))] = making_times._whole("preparers", text)
    keeper = text if chance.random() < 0.2 else ""
    settings = timetable.Settings(begin, there=coming, keeper=keeper, **whole)
    timetable.make(kept().notebook, kept().session.id, settings)


def _sheet(chance: Random, text: str) -> None:
    said = {
        "paper": "a4",
        "stock": "a4-65",
        "seat": "1",
        "used": "3",
        "right": "0.5",
        "down": "0",
        "qr": "1",
        "form": "pdf",
    }
    said[chance.choice(sorted(said))] = text
    assert sheet_routes._wish(said).printing.pages(10) >= 1


def _book(chance: Random, text: str) -> None:
    notebook, scene = kept().notebook, kept().scene
    (
        lambda: book.add_brief(notebook, text, "Dry."),
        lambda: book.add_brief(notebook, "Dry", text),
        lambda: book.add_panelist(notebook, text, text),
        lambda: book.add_trial(notebook, scene.brief_id, text, None, text, typed_values.strength("5")),
        lambda: book.add_trial(notebook, scene.brief_id, "91", strength_percent=typed_values.strength(text)),
        lambda: bench.void(notebook, kept().session.id, text),
        lambda: skin.take_off(notebook, scene.trial_ids[0], text),
        lambda: skin.confirm_limit(notebook, 1, text),
    )[chance.randrange(8)]()


def _bottle(chance: Random, text: str) -> None:
    typed = {
        "mark": "2",
        "strength": "12.5",
        "mixed_on": None,
        "diluted_on": None,
        "batch": "",
        "stored": "",
        "lots": "",
    }
    typed[chance.choice(("mark", "strength", "batch", "stored", "lots"))] = text
    bottle_book.add_bottle(kept().notebook, kept().scene.trial_ids[0], **typed_values.weighing(typed))


def _batch(chance: Random, text: str) -> None:
    numbers = [Decimal(10), Decimal("0.001"), Decimal(1)]
    numbers[chance.randrange(3)] = typed_values.number("batch", text, "10")
    batch(kept().formula, *numbers)


def _receipt(chance: Random, text: str) -> None:
    given = chance.choice((text, f"{kept().receipt} {text}", kept().receipt * 5))
    receipts_told.look_up(kept().notebook, receipts_told.several(given))


def _form(chance: Random, text: str) -> None:
    """A form as a browser would not send it."""
    raw = text.encode("utf-8", "surrogatepass")
    border = chance.choice((b"x", b"x" * 80, b"", raw[:90]))
    part = b'--%s\r\nContent-Disposition: form-data; name="f"; filename="a.csv"\r\n%s\r\n\r\n%s\r\n--%s--\r\n' % (
        border, chance.choice((b"Content-Type: text/csv", b"Content-Transfer-Encoding: base64", b"Content-Type: message/rfc822", raw)), raw, border,
    )  # fmt: skip
    body = attacks.turned(chance, part * chance.choice((1, 1, 3)))
    kind = f"multipart/form-data; boundary={border.decode('latin-1')}"
    assert isinstance(
        sheet_routes._upload(SimpleNamespace(headers={"content-type": kind}), body[: sheet_routes.LONGEST_TABLE]), bytes
    )
    assert isinstance(backup_routes._file_in(body), bytes)
    assert isinstance(sheet_routes._form(body[: sheet_routes.LONGEST_FORM]), dict)


def _options(chance: Random, text: str) -> None:
    """Options of the command ``judge``: one sentence on the terminal, cut where it is long."""
    option, said = chance.choice(("--alpha", "--beta", "--pd", "--primary-age", "--ties", "--json")), io.StringIO()
    with redirect_stderr(said), redirect_stdout(io.StringIO()):
        code = judge.main([str(TABLE), f"{option}={text}"])
    assert said.getvalue().count("\n") == (code == terminal.UNUSABLE)
    assert len(said.getvalue()) <= 2 * terminal.LONGEST
    if code:
        raise ArgumentError(said.getvalue().strip()[:500])


DOORS: tuple[Callable[[Random, str], None], ...] = (
    _number, _ages, _plan, _plan, _target, _descriptor, _limit, _timetable, _timetable, _sheet, _book, _bottle, _batch, _receipt, _form,
    _options,
)  # fmt: skip


def tried(seeds: range, folder: Path, ended: Ended) -> None:
    """Type into one door after another."""
    for seed in seeds:
        chance, door = Random(seed), DOORS[seed % len(DOORS)]
        text = text_of(chance)
        attacks.sent_in(partial(door, chance, text), f"{seed} {door.__name__} {text[:40]!r}", ended)


def test_what_is_typed_is_a_value_or_one_sentence(tmp_path: Path) -> None:
    ended = Ended()
    tried(range(480), tmp_path, ended)
    assert ended.failures == []
    assert min(ended["refused"], ended["told"]) > 60


@pytest.mark.slow
@pytest.mark.parametrize("part", range(20))
def test_a_hundred_thousand_typed_texts_are_a_value_or_one_sentence(part: int, tmp_path: Path) -> None:
    ended = Ended()
    tried(range(part * 5000, part * 5000 + 5000), tmp_path, ended)
    assert ended.failures == []


# --- one by one -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", LARGE)
@pytest.mark.parametrize(
    "read",
    [
        lambda text: typed_values.strip_ages(text, "10"),
        lambda text: typed_values.number("limit", text, "0.8"),
        limits_entered.read_minutes,
        lambda text: making_times._Clocks("UTC", date(2026, 3, 29), making_times.ASK[0]).instant(text),
        lambda text: sheet_routes._wish({"used": text}).printing,
        lambda text: receipts_told.look_up(kept().notebook, receipts_told.several(text)),
        lambda text: filled_form._zone(text),
    ],
)
def test_a_million_letters_are_refused_in_a_short_sentence(read: Any, text: str) -> None:
    if read is limits_entered.read_minutes and not text.strip():
        assert read(text) is None  # nothing was typed
        return
    if text.strip("[ \n") or not isinstance(read, type(receipts_told.several)):
        with pytest.raises(MouilletteError) as refused:
            read(text)
        assert len(str(refused.value)) < 300


@pytest.mark.parametrize("text", ["14:05Z", "14:05+02:00", "T14:05", "14:05:30", "1405", "٠٤:٠٥", "24:00"])
def test_a_time_of_day_is_hours_and_minutes(text: str) -> None:
    clocks = making_times._Clocks("Europe/Paris", date(2026, 3, 29), making_times.ASK[0])
    with pytest.raises(ArgumentError, match="must be a time of day such as 14:05"):
        clocks.instant(text)
    assert clocks.instant("4:05") == clocks.instant("04:05")


def test_half_a_letter_is_no_text_anywhere() -> None:
    with pytest.raises(ArgumentError, match="half a letter"):
        book.add_brief(kept().notebook, "\ud800", "")
