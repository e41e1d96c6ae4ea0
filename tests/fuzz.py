"""Hostile cases by the ten thousand, watched: ``python -m tests.fuzz FORMAT FIRST LAST FILE [CHUNK]``, a line each.

A chunk runs in a process of its own with a bound on its memory; a case that takes more than ten seconds of processor
time is a finding like a traceback. Seeds are kept: ``python -m tests.fuzz FORMAT SEED SEED+1 -`` has one again.
"""

from __future__ import annotations

import importlib
import json
import resource
import signal
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any, Final

import pandas as pd

from evaluation import charts
from tests.attacks import Ended

FORMATS: Final = {
    "export": "tests.report.test_hostile_exports",
    "backup": "tests.store.test_hostile_backups",
    "csv": "tests.counting.test_hostile_tables",
    "paper": "tests.actions.test_hostile_paper",
    "paste": "tests.formulas.test_hostile_pastes",
    "typed": "tests.pages.test_hostile_typing",
}
ONE: Final = "--chunk"  # words for a chunk in a process of its own
CHUNK: Final = 1000
SECONDS: Final = 10  # of processor time for one case
MORE_MEMORY: Final = 3 << 30  # address space beyond what there is as a chunk begins; readers set much of it aside
MEMORY: Final = Path("/dev/shm")


class Hung(BaseException):
    """A case that took too long."""


class Watched(Ended):
    """Cases with a bound on the time of each."""

    def begin(self, done: str) -> None:
        """The time of a case begins."""
        signal.setitimer(signal.ITIMER_PROF, SECONDS)


def main(words: list[str]) -> int:
    """Run the cases of a format (or some, with commas, in turn) from a first seed to before a last one.

    1 where there was a finding.
    """
    if words[0] == ONE:
        json.dump(_chunk(words[1], range(int(words[2]), int(words[3]))), sys.__stdout__)
        return 0
    first, last, file, chunk = int(words[1]), int(words[2]), words[3], int(words[4]) if words[4:] else CHUNK
    bad = False
    with sys.stdout if file == "-" else Path(file).open("a", encoding="utf-8") as out:
        for begin in range(first, last, chunk):
            for name in words[0].split(","):
                told = _apart(name, begin, min(begin + chunk, last))
                bad |= bool(told["failures"])
                print(json.dumps({"format": name, "from": begin} | told, ensure_ascii=False), file=out, flush=True)
    return int(bad)


def _apart(name: str, begin: int, end: int) -> dict[str, Any]:
    """A chunk in a process of its own; what it says, or how it died."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    words = [sys.executable, "-m", "tests.fuzz", ONE, name, str(begin), str(end)]
    done = subprocess.run(words, stdout=subprocess.PIPE, check=False)
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    spent = {"seconds with its beginning": round(used.ru_utime + used.ru_stime - before.ru_utime - before.ru_stime, 1)}
    return (
        json.loads(done.stdout) if done.stdout else {"failures": [f"the process ended with {done.returncode}"]}
    ) | spent


def _chunk(name: str, seeds: range) -> dict[str, Any]:
    module = importlib.import_module(FORMATS[name])
    with tempfile.TemporaryDirectory(dir=MEMORY if MEMORY.is_dir() else None) as folder:
        module.tried(range(seeds[0], seeds[0] + 4), Path(folder), Ended())  # what every chunk begins with is made once
        charts.picture(_a_chart(), "svg")  # the program that draws sets many gigabytes of addresses aside
        _, most = resource.getrlimit(resource.RLIMIT_AS)
        resource.setrlimit(resource.RLIMIT_AS, (_taken() + MORE_MEMORY, most))
        signal.signal(signal.SIGPROF, _hung)
        ended, before = Watched(), resource.getrusage(resource.RUSAGE_SELF)
        module.tried(seeds, Path(folder), ended)
        signal.setitimer(signal.ITIMER_PROF, 0)
    used = resource.getrusage(resource.RUSAGE_SELF)
    seconds = used.ru_utime + used.ru_stime - before.ru_utime - before.ru_stime
    told = {"cases": len(seeds), **ended, "seconds": round(seconds, 1), "MB": used.ru_maxrss // 1024}
    return told | {"failures": [one[:600] for one in ended.failures], "nets": [one[:300] for one in ended.nets]}


def _a_chart() -> Any:
    row = {
        "age": "5 min",
        "primary": True,
        "first": 1,
        "none": 0,
        "second": 0,
        "votes": 1,
        "share": 1.0,
        "low": 0.0,
        "high": 1.0,
    }
    return charts.preferences(pd.DataFrame([row]), "trial 7", "trial 8", width=400)


def _taken() -> int:
    return int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0]) * resource.getpagesize()


def _hung(*_: object) -> None:
    raise Hung(f"more than {SECONDS} s of processor time")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
