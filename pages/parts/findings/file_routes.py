"""Downloads of findings: a route of our own that asks who is there. Light until a file is asked for."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from parts import house
from parts.doors import visitor
from parts.findings import report_links
from parts.house import House
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from evaluation.actions.doors import CONDUCTOR
from evaluation.errors import MouilletteError
from evaluation.kinds import ByKind

Made = tuple[str, bytes | None] | None  # media type and content; nothing where there is no such file
PATH: Final = "/files/{session_id}/{name}"
NOT_FOUND: Final = "Not found."
NOTHING_TO_DRAW: Final = "There is nothing to draw, or pictures cannot be drawn here."


def routes() -> list[Route]:
    """For the server to put before the framework's own routes."""

    async def endpoint(request: Request) -> Response:
        return await run_in_threadpool(_file, request)

    return [Route(PATH, endpoint, methods=["GET"])]


def _file(request: Request) -> Response:
    here = house.current()
    met = visitor.handshake(dict(request.headers), request.cookies)
    if visitor.recognise(here, met).role != CONDUCTOR:
        return PlainTextResponse(NOT_FOUND, 404)
    name, session_id = request.path_params["name"], request.path_params["session_id"]
    ticked = name in report_links.CAN_CARRY and request.query_params.get(report_links.WITH_FORMULAS) == "yes"
    try:
        made = _made(here, session_id, name, ticked)
    except MouilletteError as error:
        return PlainTextResponse(str(error), 404)
    if made is None:
        return PlainTextResponse(NOT_FOUND, 404)
    kind, content = made
    if content is None:
        return PlainTextResponse(NOTHING_TO_DRAW, 404)
    carries = "with-formulas-" if ticked else ""
    saved_as = f'attachment; filename="session-{session_id[:8]}-{carries}{name}"'
    return Response(content, media_type=kind, headers={"Content-Disposition": saved_as, "Cache-Control": "no-store"})


def _made(here: House, session_id: str, name: str, formulas: bool) -> Made:
    """Media type and content of one file; ``formulas`` go into no other than reports and the file of everything.

    The frames and charts behind it are heavy: not at the server's start.
    """
    from evaluation.actions import plan

    if name in report_links.BRIEF_FILES:
        return report_links.brief_file(here, session_id, name, formulas=formulas)
    if name in report_links.FILES:
        return report_links.file(here, session_id, name, formulas=formulas)
    return _MAKERS.of(plan.session(here.notebook, session_id).plan.method)(here, session_id, name)


def _of_two(here: House, session_id: str, name: str) -> Made:
    from parts.findings import downloads

    from evaluation.actions.two_findings import two_findings

    if name not in downloads.FILES:
        return None
    _, kind, build = downloads.FILES[name]
    return kind, build(two_findings(here.notebook, session_id))


def _of_profile(here: House, session_id: str, name: str) -> Made:
    from parts.findings import profile_downloads

    from evaluation.actions.profile_findings import profile_findings

    return profile_downloads.file(profile_findings(here.notebook, session_id), name)


def _of_round(here: House, session_id: str, name: str) -> Made:
    from parts.findings import preferred

    from evaluation.actions.round_findings import round_findings

    return preferred.file(round_findings(here.notebook, session_id), name)


_MAKERS: Final[ByKind[Callable[[House, str, str], Made]]] = ByKind(
    "files",
    {
        "forced choice": _of_two,
        "preference": _of_two,
        "profile": _of_profile,
        "round": _of_round,
        "ranking": _of_round,
    },
)
