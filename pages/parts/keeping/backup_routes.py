"""The backup to download, and the one to bring back: routes of our own that ask who is there. Light until asked."""

from __future__ import annotations

import io
import tempfile
from collections.abc import Iterator
from datetime import datetime
from http import HTTPStatus
from typing import IO, Final

from parts import house
from parts.doors import plain_pages, visitor
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, PlainTextResponse, Response, StreamingResponse
from starlette.routing import Route

from evaluation.actions.doors import CONDUCTOR
from evaluation.errors import MouilletteError, StoreError

PATH: Final = "/backup.zip"
BRING_BACK: Final = "/bring-back"
LARGEST: Final = 64 << 20  # many thousand sessions; it is held in memory while it is looked at
NOT_FOUND: Final = "Not found."
HEADERS: Final = {
    "Cache-Control": "no-store",
    "Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; frame-ancestors 'none'",
}
_STEP: Final = 1 << 18


def routes() -> list[Route]:
    """For the server to put before the framework's own routes."""

    async def download(request: Request) -> Response:
        return await run_in_threadpool(_backup, request)

    async def bring_back(request: Request) -> Response:
        if not await run_in_threadpool(_is_conductor, request):  # else nothing of the body is read
            return PlainTextResponse(NOT_FOUND, HTTPStatus.NOT_FOUND)
        return await run_in_threadpool(_brought_back, await _read(request))

    return [Route(PATH, download, methods=["GET"]), Route(BRING_BACK, bring_back, methods=["POST"])]


def _is_conductor(request: Request) -> bool:
    met = visitor.handshake(dict(request.headers), request.cookies)
    return visitor.recognise(house.current(), met).role == CONDUCTOR


async def _read(request: Request) -> bytes | None:
    """The body; None where it is too long."""
    body = bytearray()
    async for part in request.stream():
        body += part
        if len(body) > LARGEST:
            return None
    return bytes(body)


def _brought_back(body: bytes | None) -> Response:
    from evaluation.keeping import told
    from evaluation.store.backup import restoring

    here = house.current()
    try:
        if body is None:
            raise StoreError(f"This is larger than {LARGEST >> 20} MB: bring it back on the command line.")
        made = restoring.restore_into(io.BytesIO(_file_in(body)), here.notebook, here.secret)
    except MouilletteError as problem:
        return _page("Nothing was brought back", str(problem), HTTPStatus.BAD_REQUEST)
    links = () if made.secret == here.secret else (told.LINKS_ANEW,)
    found = (
        f"As it was on {told.instant(made.manifest.made_at)}: {told.counts(made.checked)}",
        *links,
        *made.checked.damage,
        *(f"{told.NOT_IN_IT} {sentence}" for sentence in made.beyond),
    )
    return _page("The backup is brought back", " ".join(found))


def _page(title: str, text: str, status: int = HTTPStatus.OK) -> Response:
    return HTMLResponse(plain_pages.sentence(title, text), status, headers=HEADERS)


def _file_in(body: bytes) -> bytes:
    """The one file of a form, as browsers send it (multipart/form-data, RFC 7578); b"" where there is none."""
    boundary, _, rest = body.partition(b"\r\n")
    _, _, content = rest.partition(b"\r\n\r\n")
    return content[: max(0, content.rfind(b"\r\n" + boundary + b"--"))]


def _backup(request: Request) -> Response:
    here = house.current()
    foreign = request.headers.get("sec-fetch-site") == "cross-site"  # nobody else's page has one made
    if foreign or not _is_conductor(request):
        return PlainTextResponse(NOT_FOUND, HTTPStatus.NOT_FOUND)
    from evaluation.store.backup import making

    out = tempfile.TemporaryFile()  # noqa: SIM115 - closed once it is sent
    try:
        made = making.make(here.notebook, out)
    except (MouilletteError, OSError) as problem:
        out.close()
        return PlainTextResponse(str(problem), HTTPStatus.SERVICE_UNAVAILABLE)
    at = datetime.fromtimestamp(made.made_at / 1000)
    headers = {
        "Content-Disposition": f'attachment; filename="mouillette-{at:%Y-%m-%d-%H%M}.zip"',
        "Content-Length": str(out.tell()),
        "Cache-Control": "no-store",
    }
    return StreamingResponse(_sent(out), media_type="application/zip", headers=headers)


def _sent(out: IO[bytes]) -> Iterator[bytes]:
    with out:
        out.seek(0)
        while some := out.read(_STEP):
            yield some
