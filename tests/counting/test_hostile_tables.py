"""Tables of answers altered by somebody who knows how they are read: verdicts or one sentence, and never a traceback."""

from __future__ import annotations

import csv
import io
import json
from functools import cache
from pathlib import Path
from random import Random

import pytest

from evaluation.counting import answer_files, answers
from evaluation.errors import AnswersError, ArgumentError
from evaluation.ground import intake
from evaluation.ground.intake import Bounds
from evaluation.judge import main
from tests import attacks
from tests.attacks import Ended

HEAD = ["comparison", "method", "panelist", "replicate", "age_minutes", "correct", "preferred"]
METHODS = ("triangle", "duo-trio", "tetrad", "2-afc", "3-afc", "two-out-of-five")


@cache
def base(number: int) -> list[list[str]]:
    """Sound tables: one method; several with preferences over ages; several answers a person, with names to quote."""
    if number == 0:
        return [HEAD[:6], *([f"3 and {4 + n % 2}", "triangle", f"P{n}", "1", "5", str(n % 2)] for n in range(24))]
    if number == 1:
        kinds = [("preference", "", "first"), ("tetrad", "1", ""), ("preference", "", "none")]
        ages = ("5", "60.5", "overall")
        return [HEAD, *([str(n % 2), kind, f"N {n}", "1", ages[n % 3 if kind == "preference" else n % 2], right, liked]
                        for n in range(20) for kind, right, liked in kinds)]  # fmt: skip
    return [
        HEAD[:6],
        *([f'cedar, "dry" {n % 3}', METHODS[n % 6], f"Ä{n % 5}", str(1 + n // 30), "30", "1"] for n in range(90)),
    ]


def attack(seed: int) -> tuple[str, bytes]:
    """A hostile table, and what was done to it."""
    chance = Random(seed)
    table = [list(row) for row in base(chance.randrange(3))]
    done = []
    for _ in range(chance.choice((0, 1, 1, 1, 2))):
        how = chance.choice(_WAYS)
        how(chance, table)
        done.append(how.__name__)
    out = io.StringIO()
    ends = chance.choice(("\n", "\n", "\r\n", "\r"))
    quoting = chance.choice((csv.QUOTE_MINIMAL, csv.QUOTE_MINIMAL, csv.QUOTE_ALL))
    between = chance.choice((",", ",", ",", ",", ",", ";", "\t"))
    csv.writer(out, lineterminator=ends, quoting=quoting, delimiter=between).writerows(table)
    text = out.getvalue()
    if chance.random() < 0.2:
        at = chance.randrange(len(text) + 1)
        text = (
            text[:at]
            + chance.choice(('"', '""', '",', "\n\n", "\r", " \n", ",", "\x0b", "\x85", "\u2028", "\ufeff"))
            + text[at:]
        )
    encoding = chance.choice(("utf-8",) * 6 + ("utf-8-sig", "cp1252", "utf-16", "latin-1", "utf-7"))
    data = text.encode(encoding, "surrogatepass" if encoding.startswith("utf") else "replace")
    return " ".join((*done, encoding)), attacks.turned(chance, data) if chance.random() < 0.15 else data


def _cell(chance: Random, table: list[list[str]]) -> None:
    row = chance.choice(table)
    if row:
        row[chance.randrange(len(row))] = str(chance.choice(attacks.VALUES))


def _near(chance: Random, table: list[list[str]]) -> None:
    row = chance.choice(table[1:] or table)
    at = chance.randrange(len(row) or 1)
    if at < len(row):
        other = chance.choice(table)
        row[at] = chance.choice((row[at] * 2, row[at][:-1], f" {row[at]} ", row[at].upper(), *other))


def _row_twice(chance: Random, table: list[list[str]]) -> None:
    table.insert(chance.randrange(len(table)) + 1, list(chance.choice(table)))


def _row_other(chance: Random, table: list[list[str]]) -> None:
    row = chance.choice(table)
    row[:] = chance.choice(([], [""], row[:-1], [*row, ""], row * 2, ["x"] * 700, [" "] * len(row)))


def _column_other(chance: Random, table: list[list[str]]) -> None:
    at = chance.randrange(len(table[0]) or 1)
    how = chance.randrange(4)
    for row in table:
        if how == 0:
            row[at : at + 1] = []
        elif how == 1:
            row[at:at] = row[at : at + 1]
        elif how == 2:
            row.extend(row[at : at + 1])
        else:
            row.reverse()


def _names(chance: Random, table: list[list[str]]) -> None:
    table[0] = chance.choice(
        ([one.upper() for one in table[0]], [f" {one}" for one in table[0]], table[0][::-1], [], HEAD)
    )


def _cut(chance: Random, table: list[list[str]]) -> None:
    del table[chance.randrange(len(table)) :]
    table[:] = table or [[]]


_WAYS = (_cell, _cell, _cell, _near, _near, _row_twice, _row_other, _column_other, _names, _cut)


def tried(seeds: range, folder: Path, ended: Ended) -> None:
    """Put each case before the command, in one of its ways of telling."""
    file = folder / "hostile.csv"
    for seed in seeds:
        done, data = attack(seed)
        file.write_bytes(data)
        words = (["--json"], [], ["--json", "--people"])[seed % 3]
        out = attacks.put_before(main, [str(file), *words], f"{seed} {done}", ended)
        if out and "--json" in words:
            json.loads(out, parse_constant=_no_json)


def _no_json(text: str) -> None:
    raise AssertionError(f"{text} is no JSON")


def test_altered_tables_give_verdicts_or_one_sentence(tmp_path: Path) -> None:
    ended = Ended()
    tried(range(400), tmp_path, ended)
    assert ended.failures == []
    assert min(ended["refused"], ended["told"]) > 40


@pytest.mark.slow
@pytest.mark.parametrize("part", range(20))
def test_a_hundred_thousand_altered_tables_give_verdicts_or_one_sentence(part: int, tmp_path: Path) -> None:
    ended = Ended()
    tried(range(part * 5000, part * 5000 + 5000), tmp_path, ended)
    assert ended.failures == []


# --- one by one -------------------------------------------------------------------------------------------------------

LINE = "a,triangle,Ann,1,5,1\n"
TABLE = ",".join(HEAD[:6]) + "\n"


def _told(problem: str, text: str | bytes) -> None:
    data = text if isinstance(text, bytes) else text.encode()
    with pytest.raises((AnswersError, ArgumentError), match=problem) as refused:
        answers.count(answer_files.read_bytes(data))
    assert "\n" not in str(refused.value)
    assert len(str(refused.value)) < 400


def test_a_table_too_large_is_refused_as_too_large_before_it_is_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(intake, "ANSWERS", Bounds("a table of answers", 1000, rows=10, columns=8, cell=50))
    monkeypatch.setattr(answer_files, "_header", lambda _: pytest.fail("it was read"))
    _told("too large: it may have at most 10 rows", TABLE + "\n" * 11)
    _told("a table of answers may have at most 1000 bytes; this has more", TABLE + LINE * 100)
    (tmp_path / "answers.csv").write_text(TABLE + LINE * 100)
    with pytest.raises(ArgumentError, match="at most 1000 bytes"):
        answer_files.read_file(tmp_path / "answers.csv")
    with pytest.raises(ArgumentError, match="at most 1000 bytes"):
        answer_files.read_stream(io.BytesIO(b"a" * 1001))


def test_a_table_that_asks_too_much_is_refused_as_too_large(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(answers, "MOST_QUESTIONS", 3)
    _told("too large: it asks about 4 comparisons", TABLE + "".join(f"{n},triangle,Ann,1,5,1\n" for n in range(4)))


@pytest.mark.parametrize("quote", ["", '"'])
def test_a_cell_too_long_is_named_by_its_line(quote: str) -> None:
    for letters in (10_001, 200_000):
        _told("line 3: ", f"{TABLE}{LINE}{quote}{'a' * letters}{quote},triangle,Ann,2,5,1\n")


@pytest.mark.parametrize(
    ("cell", "said"),
    [
        ("9" * 5000, "line 2, column age_minutes: must be minutes"),
        ("1e5", "line 2, column age_minutes: must be minutes"),
        ("nan", "line 2, column age_minutes: must be minutes"),
        ("٣", "line 2, column age_minutes: must be minutes"),
    ],
)
def test_a_number_that_is_none_is_named_shortly(cell: str, said: str) -> None:
    _told(said, TABLE + f"a,triangle,Ann,1,{cell},1\n")


@pytest.mark.parametrize("blank", ["\x1c", "\x1f", "\x85", "\u2003", "\u00a0"])
def test_a_number_may_stand_between_blanks_of_any_kind(blank: str) -> None:
    """The guided fuzzer found it: some blanks are none to int() and float()."""
    table = TABLE + f"a,triangle,Ann,{blank}1{blank},{blank}5{blank},1\n"
    assert answers.count(answer_files.read_bytes(table.encode())) == answers.count(
        answer_files.read_bytes((TABLE + LINE).encode())
    )


def test_what_a_terminal_would_obey_is_refused() -> None:
    _told("line 2, column comparison: must not contain control characters", TABLE + "\x1b[2J,triangle,Ann,1,5,1\n")


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-32"])
def test_another_encoding_is_named(encoding: str) -> None:
    _told("save it again as UTF-8", (TABLE + LINE).encode(encoding))
    _told("save it again as UTF-8", TABLE.encode() + b"\x81,triangle,Ann,1,5,1\n")


def test_too_many_columns_are_refused() -> None:
    _told(
        "line 1: a table of answers may have at most 500 columns, not 1206", ",".join((*HEAD[:6], *["x"] * 1200)) + "\n"
    )
