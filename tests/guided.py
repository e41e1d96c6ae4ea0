"""A guided fuzzer over what comes in from outside: ``python -m tests.guided DOOR [FOLDER] [-max_total_time=300]``.

An extra, not part of the tests: ``pip install -e '.[test,fuzz]'`` (Linux; the words after DOOR are libFuzzer's). It
changes bytes and keeps what reaches lines of this program that nothing reached before, so it finds its way where the
seeded cases of ``tests/fuzz.py`` know theirs. Digests are made right here: what is changed is what lies behind them.
Whatever is neither taken nor refused in one sentence ends it, and the case is written down.
"""

from __future__ import annotations

import io
import json
import sys
from collections.abc import Callable
from contextlib import ExitStack
from functools import cache
from pathlib import Path
from typing import Any

import atheris

with atheris.instrument_imports(include=["evaluation"]):
    from evaluation.actions import paper
    from evaluation.clock import SteppedClock
    from evaluation.counting import answer_files, answers
    from evaluation.errors import MouilletteError
    from evaluation.formulas import Material, name_key, read_lines
    from evaluation.ground import intake
    from evaluation.judging.verdicts import Rules, judge_tallies
    from evaluation.report import command, export
    from evaluation.store.backup import form, restoring

from tests import again
from tests.actions import test_hostile_paper as papers
from tests.counting import test_hostile_tables as tables
from tests.formulas import test_hostile_pastes as pastes
from tests.report import test_hostile_exports as exports
from tests.store import test_hostile_backups as backups

SMALLEST = "one-nose"


def _json(data: bytes) -> None:
    """JSON within its bounds is what the standard library says it is."""
    said = intake.json_of(data, intake.WRITTEN)
    assert json.loads(data) == said


def _csv(data: bytes) -> None:
    judge_tallies(answers.count(answer_files.read_bytes(data)), Rules())


def _paper(data: bytes) -> None:
    made = papers.base(0)
    paper.enter_table(made.notebook, made.session_id, data)  # type: ignore[arg-type]


def _paste(data: bytes) -> None:
    typed = read_lines(data.decode("utf-8", "replace"))
    typed.formula({name_key(name): Material(name, name) for name in typed.unknown({})})


def _export(data: bytes) -> None:
    """The session of an export, under right digests, of a file that says its log does not hold."""
    parts = dict(exports.base(SMALLEST)) | {"session.json": data}
    with export.opened(exports.signed(parts, log_holds=False)) as copy:
        command._worked_out(copy, formulas=False)


def _archive(data: bytes) -> None:
    """A file that is an export or a backup, or neither."""
    try:
        with export.opened(data):
            return
    except MouilletteError:
        restoring.look_over(io.BytesIO(data), SteppedClock())


@cache
def _members() -> tuple[dict[str, bytes], bytes, list[str]]:
    parts = dict(backups.base())
    manifest = parts.pop(form.MANIFEST)
    return parts, manifest, sorted(name for name, lines in parts.items() if lines and name.endswith(form.LINES))


def _backup(data: bytes) -> None:
    """The rows of one table, named by the first byte, under right digests."""
    parts, manifest, names = _members()
    changed = parts | {names[data[0] % len(names)]: data[1:]} if data else parts
    restoring.look_over(io.BytesIO(backups.signed(changed, json.loads(manifest))), SteppedClock())


DOORS: dict[str, tuple[Callable[[bytes], None], Callable[[], list[bytes]]]] = {
    "json": (_json, lambda: [exports.base(SMALLEST)["session.json"], b'{"a":[1,0.5,null,"\\u00e9"]}']),
    "csv": (_csv, lambda: [tables.attack(seed)[1] for seed in range(40)]),
    "paper": (_paper, lambda: [papers.attack(seed)[1] for seed in range(0, 80, 4)]),
    "paste": (_paste, lambda: [pastes.attack(seed)[1].encode("utf-8", "replace") for seed in range(40)]),
    "export": (_export, lambda: [exports.base(SMALLEST)["session.json"]]),
    "archive": (_archive, lambda: [exports.attack(1)[1], backups.attack(1)[1]]),
    "backup": (_backup, lambda: [bytes([at]) + _members()[0][name] for at, name in enumerate(_members()[2])]),
}


def main(words: list[str]) -> None:
    """Fuzz one door from sound cases on, until libFuzzer is done or something is found."""
    open_door, begin = DOORS[words[0]]
    folder = Path(next((one for one in words[1:] if not one.startswith("-")), f"corpus-{words[0]}"))
    folder.mkdir(parents=True, exist_ok=True)
    for number, case in enumerate(begin()):
        (folder / f"sound-{number}").write_bytes(case)
    options = [one for one in words[1:] if one.startswith("-")]
    with ExitStack() as once:
        once.enter_context(again.exports_in_one_notebook())
        once.enter_context(again.backups_in_one_notebook())
        atheris.Setup([sys.argv[0], str(folder), "-timeout=10", "-rss_limit_mb=2048", *options], _tried(open_door))
        atheris.Fuzz()


def _tried(open_door: Callable[[bytes], None]) -> Callable[[bytes], Any]:
    def case(data: bytes) -> None:
        said = ""
        try:
            open_door(data)
        except MouilletteError as problem:
            said = str(problem)
        except again.Older:
            return
        assert "\n" not in said, said

    return case


if __name__ == "__main__":
    main(sys.argv[1:])
