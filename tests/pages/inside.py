"""A fresh process that serves, joins a ballot over the websocket, answers one question, and says what that loaded.

The session lies in the database already (sealing needs the statistics, answering must not):
``inside.py FILE TOKEN`` prints one line of JSON. The server runs in a thread of this process, so that what is
imported while answering can be read off afterwards without a hook in the product.
"""

from __future__ import annotations

import json
import os
import sys
import threading
import time
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]


def main() -> None:
    sys.path[:0] = [str(ROOT), str(ROOT / "pages")]
    import serve

    from evaluation.clock import SystemClock
    from evaluation.store import Notebook

    file, token = Path(sys.argv[1]), sys.argv[2]
    notebook = Notebook.open(file, SystemClock())
    port = serve.free_port("127.0.0.1", 0)
    here = serve.furnish(notebook, file, port, False, "", False)
    app, settings = serve.build(here)
    sys.argv = [str(ROOT / "pages" / "serve.py")]
    threading.Thread(target=app.run, kwargs={"config": settings}, daemon=True).start()
    before = len(_answers(notebook))
    _answer_one(port, token)
    report = {
        "answers": len(_answers(notebook)) - before,
        "loaded": sorted(sys.modules),
        "settings": {name: _option(name) for name in (*settings, "server.cookieSecret")},
    }
    sys.stdout.write(json.dumps(report, default=str) + "\n")
    sys.stdout.flush()

    os._exit(0)  # the server's thread knows no other end


def _option(name: str) -> Any:
    from streamlit import config

    return config.get_option(name)


def _answers(notebook: Any) -> list[Any]:
    with notebook.reading() as tx:
        return [a for s in tx.sittings.sessions() for a in tx.ballots.session_answers(s.id)]


def _answer_one(port: int, token: str) -> None:
    from tests.pages.wire import Running, choose_and_lock

    server = Running(None, port)  # type: ignore[arg-type] - no process to end
    for _ in range(1000):
        try:
            cookies = server.get(f"/join/{token}").cookies
            break
        except OSError:
            time.sleep(0.05)
    with server.open(cookies) as tab:
        choose_and_lock(tab)


if __name__ == "__main__":
    main()
