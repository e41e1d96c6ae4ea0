"""Run in a process of its own by test_layers: answer a whole ballot, then say what that loaded.

The session is prepared by another process, as sealing needs the statistics and answering must not.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


def prepare(where: str) -> None:
    from evaluation.clock import SteppedClock
    from evaluation.store import Notebook
    from tests.scenes import ballots, scene

    notebook = Notebook.open(where, SteppedClock(step=1))
    session = scene(notebook).smelling()
    print(ballots(notebook, session.id)[0].id)
    notebook.close()


def answer(where: str, ballot_id: str) -> int:
    from evaluation.actions import ballot
    from evaluation.clock import SystemClock
    from evaluation.store import Notebook

    notebook, count = Notebook.open(where, SystemClock()), 0
    while (asked := ballot.view(notebook, ballot_id).question) is not None:
        ballot.lock(notebook, ballot_id, asked.serving_id, asked.name, asked.options[0])
        count += 1
    notebook.close()
    return count


def main() -> None:
    sys.path.insert(0, str(ROOT))
    if len(sys.argv) > 1:
        prepare(sys.argv[1])
        return
    with tempfile.TemporaryDirectory() as folder:
        where = str(Path(folder) / "light.sqlite")
        made = subprocess.run(
            [sys.executable, __file__, where], capture_output=True, text=True, check=True, cwd=ROOT, timeout=300
        )
        answers = answer(where, made.stdout.split()[-1])
    print(json.dumps({"answers": answers, "loaded": sorted({name.split(".")[0] for name in sys.modules})}))


if __name__ == "__main__":
    main()
