"""Downloads of findings: a route of our own that asks who is there. Light until a file is asked for."""

from __future__ import annotations

from typing import Final

from parts import house, visitor
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from evaluation.actions.doors import CONDUCTOR
from evaluation.errors import MouilletteError

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
    from parts import findings_files  # the frames and charts behind it are heavy: not at the server's start

    from evaluation.actions import findings

    name = request.path_params["name"]
    if name not in findings_files.FILES:
        return PlainTextResponse(NOT_FOUND, 404)
    try:
        found = findings.findings(here.notebook, request.path_params["session_id"])
    except MouilletteError as error:
        return PlainTextResponse(str(error), 404)
    _, kind, build = findings_files.FILES[name]
    content = build(found)
    if content is None:
        return PlainTextResponse(NOTHING_TO_DRAW, 404)
    saved_as = f'attachment; filename="session-{found.session.id[:8]}-{name}"'
    return Response(content, media_type=kind, headers={"Content-Disposition": saved_as, "Cache-Control": "no-store"})
