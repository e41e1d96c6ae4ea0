"""The conductor's pages, and where anybody else who asks for one by its address is sent: to the front door."""

from __future__ import annotations

from typing import Final

from parts import house
from parts.doors.guard import App, Message, Receive, Send
from parts.doors.visitor import handshake, recognise
from starlette.concurrency import run_in_threadpool
from starlette.requests import HTTPConnection
from starlette.responses import RedirectResponse

from evaluation.actions.doors import CONDUCTOR

# In the order of the work.
CONDUCTOR_PAGES: Final = (
    ("briefs", "Trial book"),
    ("descriptors", "Descriptors"),
    ("panel", "Panel"),
    ("skin", "Skin"),
    ("separate", "Separate changes"),
    ("plan", "Plan"),
    ("series", "Series"),
    ("off_note", "Off-note"),
    ("bench", "Bench"),
    ("solo", "Alone"),
    ("findings", "Findings"),
    ("decide", "Decision"),
    ("backup", "Backup"),
)
_PATHS: Final = frozenset(f"/{name}" for name, _ in CONDUCTOR_PAGES)


class FrontDoor:
    """Plain ASGI middleware: the framework would lay its own "page not found" over the sign-in page."""

    def __init__(self, app: App) -> None:
        self.app = app

    async def __call__(self, scope: Message, receive: Receive, send: Send) -> None:
        """Send whoever has not signed in from a conductor's address to the front page; pass everything else on."""
        asked = scope["type"] == "http" and scope["path"].rstrip("/") in _PATHS
        if asked and not await run_in_threadpool(_is_conductor, scope):
            await RedirectResponse("/", 303, headers={"Cache-Control": "no-store"})(scope, receive, send)
        else:
            await self.app(scope, receive, send)


def _is_conductor(scope: Message) -> bool:
    asking = HTTPConnection(scope)
    return recognise(house.current(), handshake(asking.headers, asking.cookies)).role == CONDUCTOR
