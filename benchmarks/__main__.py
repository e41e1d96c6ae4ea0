"""Run every benchmark and print one table: ``python -m benchmarks [NAME …]``."""

from __future__ import annotations

import sys
from importlib import import_module

from benchmarks.rows import Row

# Each module offers run() -> list[Row]
MODULES = (
    "statistics",
    "book",
    "profile",
    "changes_apart",
    "findings",
    "judge",
    "timetable",
    "ballot",
    "sheets",
    "report",
)


def line(row: Row) -> str:
    return f"{row.name:<44} {row.ours_seconds:>10.4f} {row.theirs_seconds:>10.4f} {row.ratio:>9.1f}  {row.note}"


def main(names: list[str]) -> int:
    unknown = [name for name in names if name not in MODULES]
    if unknown:
        print(f"No benchmark named {', '.join(unknown)}; there are {', '.join(MODULES)}.", file=sys.stderr)
        return 2
    print(f"{'what':<44} {'ours s':>10} {'theirs s':>10} {'ratio':>9}  against")
    for name in names or MODULES:
        for row in import_module(f"benchmarks.{name}").run():
            print(line(row), flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
