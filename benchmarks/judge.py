"""``judge`` on a million rows against pandas reading the same file, and the memory it takes."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
import pandas as pd

from benchmarks.rows import Row, compared, seconds
from evaluation import judge

ROWS = 1_000_000
PEOPLE = 200
AGES = (5, 30, 120, 360)

_ALONE = """
import resource, sys
from evaluation import judge
judge.judge_file(sys.argv[1])
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""


def run() -> list[Row]:
    with tempfile.TemporaryDirectory() as folder:
        return [row for named, frame in _tables().items() for row in _timed(named, frame, Path(folder) / "answers.csv")]


def _timed(named: str, frame: pd.DataFrame, path: Path) -> list[Row]:
    frame.to_csv(path, index=False)
    theirs = seconds(lambda: pd.read_csv(path), 3)
    ours = seconds(lambda: judge.judge_file(path), 3)
    megabytes = path.stat().st_size / 1e6
    note = f"pandas.read_csv of the same {megabytes:.0f} MB; peak memory of judge alone {_peak(path):.0f} MB"
    return [compared(f"judge, 10⁶ rows, {named}", ours, theirs, note)]


def _peak(path: Path) -> float:
    """Largest resident memory, in megabytes, of a fresh process that judges the file (unit of Linux: kilobytes)."""
    done = subprocess.run([sys.executable, "-c", _ALONE, str(path)], capture_output=True, text=True, check=True)
    return int(done.stdout) / (1e6 if sys.platform == "darwin" else 1e3)


def _tables() -> dict[str, pd.DataFrame]:
    random = np.random.default_rng(20251125)
    row = np.arange(ROWS)
    session = row // (PEOPLE * len(AGES))
    once = pd.DataFrame(
        {
            "comparison": "pair-" + pd.Series(session).astype(str),
            "method": "triangle",
            "panelist": "P" + pd.Series(row % PEOPLE).astype(str),
            "replicate": 1,
            "age_minutes": np.array(AGES)[row // PEOPLE % len(AGES)],
            "correct": random.integers(0, 3, ROWS) == 0,
        }
    ).astype({"correct": int})
    ten = once.assign(replicate=session % 10 + 1, comparison="pair-" + pd.Series(session // 10).astype(str))
    mixed = ten.sample(frac=1, random_state=1)
    return {"one answer each": once, "ten answers each, rows mixed": mixed}
