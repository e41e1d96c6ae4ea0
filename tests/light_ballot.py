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
    here = scene(notebook)
    sessions = [here.smelling(), *(here.smelling(method=method) for method in ("profile", "round", "ranking"))]
    print(*(ballots(notebook, session.id)[0].id for session in sessions))
    notebook.close()


def answer(where: str, ballot_ids: list[str]) -> list[int]:
    """Answer each ballot to its end, with a draft before each strip is locked; how many answers each took."""
    from evaluation.actions import ballot
    from evaluation.clock import SystemClock
    from evaluation.store import Notebook

    notebook, counts = Notebook.open(where, SystemClock()), []
    for ballot_id in ballot_ids:
        counts.append(0)
        while screen := ballot.view(notebook, ballot_id).screen:
            values = {q.name: ">".join(q.options) if q.kind == "ranking" else q.options[0] for q in screen}
            if screen[0].scale:
                ballot.draft(notebook, ballot_id, screen[0].serving_id, values)
            ballot.lock_screen(notebook, ballot_id, screen[0].serving_id, values)
            counts[-1] += len(screen)
    notebook.close()
    return counts


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
        answers = answer(where, made.stdout.split())
    packages = {name for name, module in sys.modules.items() if hasattr(module, "__path__")}
    modules = {name for name in sys.modules if name.startswith("evaluation.")} - packages
    loaded = {name.split(".")[0] for name in sys.modules}
    print(json.dumps({"answers": answers, "loaded": sorted(loaded), "modules": sorted(modules)}))


if __name__ == "__main__":
    main()
