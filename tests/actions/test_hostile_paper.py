"""Tables and lines of paper answers altered by somebody: all of it is locked, or one sentence and nothing is."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from functools import cache, partial
from pathlib import Path
from random import Random
from typing import Any

import pytest

from evaluation.actions import paper, paper_reading
from evaluation.clock import SteppedClock
from evaluation.errors import ArgumentError
from evaluation.ground import intake
from evaluation.sessions import Question
from evaluation.store import Notebook
from evaluation.values.descriptors import Descriptor
from tests import attacks, scenes
from tests.again import Tried
from tests.attacks import Ended

RATED = (
    Descriptor("woody"),
    Descriptor("smoky", "category"),
    Descriptor("sweet", "check"),
    Descriptor("musky", "level"),
)


@dataclass(frozen=True)
class Base:
    """A session being smelt, its table with a sound answer to every question, and a sound line for each card."""

    notebook: Tried
    session_id: str
    table: list[list[str]]
    lines: tuple[tuple[str, str], ...]
    before: int


@cache
def base(number: int) -> Base:
    notebook = Notebook.open(None, SteppedClock(step=1))
    scene = scenes.scene(notebook, people=8)
    changes: dict[str, Any] = (
        {},
        {"method": "preference", "confirmed": (), "minutes": (5, 60), "primary": "overall"},
        {"method": "profile", "descriptors": RATED, "confirmed": ()},
        {"method": "tetrad", "replicates": 2},
    )[number]
    session = scene.smelling(**changes)
    rows = list(csv.reader(io.StringIO(paper.template(notebook, session.id))))
    cards = paper.cards(notebook, session.id)
    typed = {(card.label, one.name): _sound(one) for card in cards for one in card.open}
    table = [rows[0], *([*row[:5], typed[row[0], row[3]]] for row in rows[1:])]
    lines = tuple(
        (card.label, " ".join(typed[card.label, one.name] for one in card.open)) for card in cards if card.open
    )
    tried = Tried(notebook)
    return Base(tried, session.id, table, lines, tried.locked(session.id))


def _sound(question: Question) -> str:
    if question.kind == "line":
        return "63"
    if any("|" in one for one in question.options):
        return " ".join(question.options[0].split("|")[0].split("+"))
    return {option: token for token, option in paper_reading.numbered(question)}[question.options[0]]


def attack(seed: int) -> tuple[str, bytes]:
    """A hostile table, and what was done to it."""
    chance = Random(seed)
    table = [list(row) for row in base(seed % 4).table]
    done = []
    for _ in range(chance.choice((0, 1, 1, 1, 2))):
        how = chance.choice((_cell, _cell, _answer, _answer, _answer, _row, _column))
        how(chance, table)
        done.append(how.__name__)
    out = io.StringIO()
    csv.writer(
        out, lineterminator=chance.choice(("\r\n", "\n", "\r")), delimiter=chance.choice((",", ",", ",", ";"))
    ).writerows(table)
    text = out.getvalue()
    if chance.random() < 0.2:
        at = chance.randrange(len(text) + 1)
        text = text[:at] + chance.choice(('"', '""', '",', "\n\n", "\r", ",", "\u2028", "\ufeff", "@", "#")) + text[at:]
    encoding = chance.choice(("utf-8",) * 6 + ("utf-8-sig", "cp1252", "utf-16"))
    data = text.encode(encoding, "surrogatepass" if encoding.startswith("utf") else "replace")
    return " ".join((*done, encoding)), attacks.turned(chance, data) if chance.random() < 0.15 else data


def _cell(chance: Random, table: list[list[str]]) -> None:
    row = chance.choice(table)
    if row:
        row[chance.randrange(len(row))] = str(chance.choice(attacks.VALUES))


def _answer(chance: Random, table: list[list[str]]) -> None:
    row, other = chance.choice(table), chance.choice(table)
    if row and other:
        row[-1] = chance.choice(
            (*attacks.WORDS, other[-1], other[0], row[-1] * 40, "@9:61", "24:00", "1 2 3 4", "-0", "１", "²")
        )


def _row(chance: Random, table: list[list[str]]) -> None:
    row = chance.choice(table)
    how = chance.randrange(5)
    if how == 0:
        table.append(list(row))
    elif how == 1:
        table.append(
            [row[0] if row else "", "", "", chance.choice(("smelt at", "remark", "choice", "no such")), "", "10:42"]
        )
    elif how == 2:
        table.remove(row)
    else:
        row[:] = chance.choice(([], [""], row[:-1], row * 2, [" "] * len(row)))
    table[:] = table or [[]]


def _column(chance: Random, table: list[list[str]]) -> None:
    at, how = chance.randrange(6), chance.randrange(3)
    for row in table:
        if how == 0:
            row[at : at + 1] = []
        elif how == 1:
            row.extend(row[at : at + 1])
        else:
            row.reverse()


def line_attack(seed: int) -> tuple[str, str, str]:
    """A hostile line: what was done, for which card, and the line."""
    chance = Random(seed)
    label, line = chance.choice(base(seed % 4).lines)
    for _ in range(chance.choice((1, 1, 3))):
        words = line.split()
        at = chance.randrange(len(words) + 1)
        words[at : at + chance.randrange(2)] = [
            str(chance.choice((*attacks.VALUES, "@9:61", "@", "#", ".", "@10:42 @11:00", "²", "１")))
        ]
        line = chance.choice((" ".join(words), turned_text(chance, line)))
    return "line", chance.choice((label, label, label, *attacks.WORDS)), line


def turned_text(chance: Random, text: str) -> str:
    return attacks.turned(chance, text.encode("utf-8", "surrogatepass")).decode("utf-8", "replace")


def tried(seeds: range, folder: Path, ended: Ended) -> None:
    """Send each case in: a table, and every other time a line."""
    for seed in seeds:
        if seed % 2:
            made, (done, label, line) = base(seed // 2 % 4), line_attack(seed // 2)
            send = partial(paper.enter, made.notebook, made.session_id, label, line)  # type: ignore[arg-type]
            attacks.sent_in(send, f"{seed} {done} {label[:20]!r} {line[:60]!r}", ended)
        else:
            made, (done, data) = base(seed % 4), attack(seed)
            send = partial(paper.enter_table, made.notebook, made.session_id, data)  # type: ignore[arg-type]
            attacks.sent_in(send, f"{seed} {done}", ended)


def test_altered_paper_answers_are_locked_or_refused_in_one_sentence(tmp_path: Path) -> None:
    ended = Ended()
    tried(range(400), tmp_path, ended)
    assert ended.failures == []
    assert min(ended["refused"], ended["told"]) > 40
    assert all(base(number).notebook.locked(base(number).session_id) == base(number).before for number in range(4))


@pytest.mark.slow
@pytest.mark.parametrize("part", range(20))
def test_two_hundred_thousand_altered_paper_answers_are_locked_or_refused(part: int, tmp_path: Path) -> None:
    """Half of them tables, half of them lines."""
    ended = Ended()
    tried(range(part * 10_000, part * 10_000 + 10_000), tmp_path, ended)
    assert ended.failures == []


# --- one by one -------------------------------------------------------------------------------------------------------


def _refusal(content: bytes) -> str:
    made = base(0)
    with pytest.raises(ArgumentError) as refused:
        paper.enter_table(made.notebook, made.session_id, content)  # type: ignore[arg-type]
    return str(refused.value)


def test_a_table_too_large_is_refused_as_too_large() -> None:
    assert (
        _refusal(b"card,question,answer\r\n" * 100_000)
        == "a table of paper answers may have at most 2 MB; this has more."
    )
    assert "at most 50000 rows" in _refusal(b"card,question,answer\n" + b",,\n" * 50_001)
    assert "line 2: a cell may have at most 2000 characters, not 2001" in _refusal(
        b"card,question,answer\n1-1,remark," + b"a" * 2001
    )
    assert "line 2: a table of paper answers may have at most 6 columns, not 7" in _refusal(
        b"card,question,answer\n" + b"," * 6
    )


def test_nobody_waits_for_the_store_while_a_table_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Tried, "writing", lambda _: pytest.fail("the store was asked"))
    assert "must be text in UTF-8" in _refusal("card,question,answer".encode("utf-16"))
    assert "must be text in UTF-8" in _refusal(b"card,question,answer\n1-1,remark,\x81")


def test_a_line_too_long_is_refused_as_too_long() -> None:
    made = base(0)
    with pytest.raises(ArgumentError, match="a typed line may have at most 4000"):
        paper.enter(made.notebook, made.session_id, "1-1", "1 " * intake.LINE.bytes)  # type: ignore[arg-type]
