"""Verdicts without the browser: ``python -m evaluation judge answers.csv``, or one call with a frame."""

from __future__ import annotations

import argparse
import json
import math
import sys
from collections.abc import Iterator, Sequence
from dataclasses import asdict, fields
from pathlib import Path
from typing import Any, Final, NoReturn

import pandas as pd

from evaluation import wording
from evaluation.counting import answer_files, answers
from evaluation.counting.answers import Table
from evaluation.errors import ArgumentError, StoreError
from evaluation.ground import terminal
from evaluation.judging.spread import Spread, spread_of
from evaluation.judging.verdicts import AnyEntry, Entry, PreferenceEntry, Rules, judge_tallies
from evaluation.sessions import OVERALL, TIES_RULES
from evaluation.wording import of_panels

WEIGHED: Final = "weighed"  # stands in an entry only where weights were asked for
# The counts of single people stay out: a file of answers has them already.
_FIELDS: Final = {
    kind: tuple(field.name for field in fields(kind) if field.name not in {"own", WEIGHED})
    for kind in (Entry, PreferenceEntry)
}
_SPREAD: Final = tuple(one.name for one in fields(Spread) if one.name not in {"level", "expected", "standing"})


def judge_frame(
    frame: pd.DataFrame,
    *,
    alpha: float = 0.05,
    beta: float = 0.05,
    pd: float = 0.30,
    primary_age: float | str | None = None,
    ties: str = "drop",
    weights: Sequence[int] = (),
) -> tuple[AnyEntry, ...]:
    """The verdict on every comparison, method and strip age of a frame of answers.

    ``frame`` has the columns comparison, method, panelist, replicate, age_minutes and correct (0 or 1), or preferred
    (first, second, none) for preferences; further columns are ignored. With ``weights`` of guess, unsure, fairly
    sure and sure, as they were sealed, *noticed* is judged by weight, and the column sure is read. AnswersError names
    the row and column that cannot be read.
    """
    rules = Rules(alpha, beta, pd, primary_age, ties, tuple(weights))
    return _judge(answer_files.table_of(frame, _columns(rules)), rules)


def judge_file(
    path: str | Path,
    *,
    alpha: float = 0.05,
    beta: float = 0.05,
    pd: float = 0.30,
    primary_age: float | str | None = None,
    ties: str = "drop",
    weights: Sequence[int] = (),
) -> tuple[AnyEntry, ...]:
    """As :func:`judge_frame`, for a file of comma-separated text; ``"-"`` reads standard input."""
    rules = Rules(alpha, beta, pd, primary_age, ties, tuple(weights))
    return _judge(_table(str(path), rules), rules)


def _judge(table: Table, rules: Rules) -> tuple[AnyEntry, ...]:
    return judge_tallies(answers.count(table, sureness=bool(rules.weights)), rules)


def _columns(rules: Rules) -> tuple[str, ...]:
    """The sureness is read where it weighs, and nowhere else."""
    return answers.WITH_SURENESS if rules.weights else answers.KNOWN


def as_dict(entry: AnyEntry, *, people: bool = False) -> dict[str, Any]:
    """An entry as plain values for JSON; None stands for every number that does not exist or is infinite.

    With ``people`` the numbers of ``spread.Spread`` stand beside the others: they take about a second for each
    comparison of hundreds of people, so that a large file asks for them or does without.
    """
    plain = {name: _plain(getattr(entry, name)) for name in _FIELDS[type(entry)]}
    if isinstance(entry, Entry) and entry.weighed is not None:
        plain[WEIGHED] = {name: _plain(value) for name, value in asdict(entry.weighed).items()}
    if people and isinstance(entry, Entry):
        spread = spread_of(entry)
        plain |= {name: None if spread is None else _plain(getattr(spread, name)) for name in _SPREAD}
    for name in ("age_minutes", "primary_age"):
        if isinstance(plain[name], float) and plain[name].is_integer():
            plain[name] = int(plain[name])
    return plain


def main(argv: list[str]) -> int:
    """The command ``judge``: verdicts on standard output, or one sentence on standard error and exit code 2."""
    return terminal.run(lambda: _judged(_parser().parse_args(argv)))


def _judged(options: argparse.Namespace) -> int:
    rules = Rules(options.alpha, options.beta, options.pd, options.primary_age, options.ties, options.weights)
    table = _table(options.file, rules)
    entries = _judge(table, rules)
    for note in table.notes:
        terminal.complain(note)
    terminal.say(_as_json(entries, options.people) if options.json else _as_text(entries, options.people))
    return 0


def _table(path: str, rules: Rules) -> Table:
    if path != "-":
        return answer_files.read_file(path, _columns(rules))
    if sys.stdin is None:
        raise StoreError("Standard input cannot be read: it is closed.")
    return answer_files.read_stream(sys.stdin.buffer, _columns(rules))


class _Parser(argparse.ArgumentParser):
    """Says what is wrong in one sentence instead of printing its usage."""

    def error(self, message: str) -> NoReturn:
        raise ArgumentError(f"{self.prog}: {message}.")


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(prog="mouillette judge", description=_ABOUT, epilog=_COLUMNS)
    parser.add_argument("file", help="comma-separated answers, or - for standard input")
    parser.add_argument("--alpha", type=float, default=0.05, help="risk of 'noticed' when all guess (default .05)")
    parser.add_argument("--beta", type=float, default=0.05, help="risk of 'not noticed' when pd notice (default .05)")
    parser.add_argument("--pd", type=float, default=0.30, help="share of noticers that matters (default .30)")
    parser.add_argument(
        "--primary-age", type=_age, metavar="MIN", help="the strip age that decides, in minutes, or overall"
    )
    parser.add_argument("--ties", choices=TIES_RULES, default="drop", help="preferences: what 'none' answers count")
    parser.add_argument(
        "--weights",
        type=_weights,
        default=(),
        metavar="2,3,4,5",
        help="as sealed: what guess, unsure, fairly sure and sure weigh in 'noticed' (reads the column sure)",
    )
    parser.add_argument(
        "--people", action="store_true", help="where people answered more than once: how they differ, too (slower)"
    )
    parser.add_argument("--json", action="store_true", help="print JSON; null where a number does not exist")
    return parser


_ABOUT: Final = "Judge blind smelling answers: one verdict per comparison, method and strip age."
_COLUMNS: Final = (
    "Columns: comparison, method, panelist, replicate, age_minutes, and correct (0 or 1) or, for the method "
    "preference, preferred (first, second, none). Further columns are ignored."
)


def _age(text: str) -> float | str:
    try:
        return text if text == OVERALL else float(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"must be minutes or {OVERALL}, not {text!r}") from None


def _weights(text: str) -> tuple[int, ...]:
    try:
        return tuple(int(one) for one in text.split(","))
    except ValueError:
        raise argparse.ArgumentTypeError(f"must be whole numbers with commas between them, not {text!r}") from None


def _as_text(entries: tuple[AnyEntry, ...], people: bool) -> str:
    return "".join(
        f"{wording.headline(entry)}\n" + "".join(f"  {one}\n" for one in _lines(entry, people)) for entry in entries
    )


def _lines(entry: AnyEntry, people: bool) -> Iterator[str]:
    yield wording.sentence(entry)
    spread = spread_of(entry) if people and isinstance(entry, Entry) else None
    if spread is not None and isinstance(entry, Entry):
        yield from of_panels.spread_lines(entry, spread)


def _as_json(entries: tuple[AnyEntry, ...], people: bool) -> str:
    """One entry a line: readable, and written by the encoder's fast path."""
    lines = ",\n".join(json.dumps(as_dict(entry, people=people), allow_nan=False) for entry in entries)
    return f'{{"results": [\n{lines}\n]}}\n'


def _plain(value: Any) -> Any:
    if isinstance(value, tuple):
        return list(value)
    return None if isinstance(value, float) and not math.isfinite(value) else value
