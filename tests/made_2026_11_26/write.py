"""Writes the files in tests/report/released/ and tests/store/released/2026-11-26/.

RUN ONCE WITH THE STATE OF 2026-11-26 (the last commit before issue 9), NEVER AGAIN: THE FILES ARE WHAT COUNTS. Every
later version must read them to the same numbers, so they may not be made by a later one. Kept to read what is in them.
Ids and salts are drawn anew by each run; everything else follows from titles (seeds) and a stepped clock.
"""

from __future__ import annotations

import gzip
import re
import sqlite3
import tempfile
from contextlib import closing
from pathlib import Path

from evaluation.report import composing, export
from evaluation.store.rows import metadata
from tests import kept
from tests.made_2026_11_26 import alone, several, skin, states, two

PLAYED = {"two-trials": two, "several-trials": several, "alone": alone, "skin": skin, "states": states}


def write() -> None:
    filled: set[str] = set()
    with tempfile.TemporaryDirectory() as folder:
        for name, scenes in PLAYED.items():
            file = Path(folder) / f"{name}.sqlite"
            house = scenes.play(file)
            told, seen = kept.facts(house.notebook)
            told |= {"now": house.clock.instant, "exports": {}}
            for title, session_id in house.done.items():
                told["exports"][title] = slug = re.sub(r"[^a-z0-9]+", "-", title)
                (kept.EXPORTS / f"{slug}.zip").write_bytes(export.export(house.notebook, session_id))
                numbers = composing.report(house.notebook, session_id).numbers
                assert numbers == seen[title].numbers
                (kept.EXPORTS / f"{slug}.numbers.json").write_text(numbers, encoding="utf-8")
            house.notebook.close()
            (kept.DUMPS / f"{name}.facts.json").write_text(kept.spelt(told), encoding="utf-8")
            filled |= dump(file, kept.DUMPS / f"{name}.sql.gz")
    assert filled == set(metadata.tables), set(metadata.tables) - filled  # something of every table
    (kept.EXPORTS / "arithmetic.json").write_text(kept.spelt(kept.arithmetic()), encoding="utf-8")
    kept.write_words()


def dump(file: Path, target: Path) -> set[str]:
    """The file as SQL text; returns the tables that hold something."""
    with closing(sqlite3.connect(file)) as connection:
        sql = "\n".join(connection.iterdump()) + "\n"
        target.write_bytes(gzip.compress(sql.encode(), mtime=0))
        return {one for one in metadata.tables if connection.execute(f"SELECT count(*) FROM {one}").fetchone()[0]}


if __name__ == "__main__":
    write()
