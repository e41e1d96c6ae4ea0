"""Sheets to print and paper answers: routes of our own that ask who is there. Light until a sheet is asked for.

What shows the key is asked for by a form only, never by an address: a look is logged, and addresses are fetched ahead.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal
from email.parser import BytesParser
from email.policy import HTTP
from http import HTTPStatus
from typing import Any, Final
from urllib.parse import parse_qs

from parts import house, typed_values
from parts.doors import visitor
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from evaluation.actions.doors import CONDUCTOR
from evaluation.errors import ArgumentError, MouilletteError, NotFound, StateError

NOT_YOURS: Final = "This is open to the conductor only."
LONGEST_FORM: Final = 8_192
LONGEST_TABLE: Final = 2_500_000
LONGEST_NUMBER: Final = 20
HEADERS: Final = {
    "Cache-Control": "no-store",
    "Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'; img-src data:; form-action 'self'; "
    "base-uri 'none'; frame-ancestors 'none'",
}
Answering = Callable[[Request, bytes], Response]


def routes() -> list[Route]:
    """For the server to put before the framework's own routes."""
    return [
        _route("/sheets/{session_id}/{name}", _open_sheet, "GET"),
        _route("/sheets/{session_id}/key/{name}", _keyed_sheet, "POST"),
        _route("/paper/{session_id}", _paper, "GET"),
        _route("/paper/{session_id}", _typed, "POST"),
        _route("/paper/{session_id}/table", _table, "POST", LONGEST_TABLE),
    ]


def _route(path: str, answer: Answering, method: str, longest: int = LONGEST_FORM) -> Route:
    async def endpoint(request: Request) -> Response:
        if not await run_in_threadpool(_is_conductor, request):
            return PlainTextResponse(NOT_YOURS, HTTPStatus.FORBIDDEN, HEADERS)
        body = b"" if method == "GET" else await _read(request, longest)
        return await run_in_threadpool(_answered, answer, request, body)

    return Route(path, endpoint, methods=[method])


def _is_conductor(request: Request) -> bool:
    met = visitor.handshake(dict(request.headers), request.cookies)
    return visitor.recognise(house.current(), met).role == CONDUCTOR


async def _read(request: Request, longest: int) -> bytes:
    """The body, read only for a conductor; of one that is too long as much as shows that it is."""
    body = bytearray()
    async for part in request.stream():
        body += part[: longest + 1]
        if len(body) > longest:
            break
    return bytes(body)


def _answered(answer: Answering, request: Request, body: bytes) -> Response:
    try:
        return answer(request, body)
    except MouilletteError as error:
        return PlainTextResponse(str(error), _status(error), HEADERS)


def _status(error: MouilletteError) -> int:
    if isinstance(error, NotFound):
        return HTTPStatus.NOT_FOUND
    return HTTPStatus.CONFLICT if isinstance(error, StateError) else HTTPStatus.BAD_REQUEST


# --- sheets -----------------------------------------------------------------------------------------------------------


def _open_sheet(request: Request, body: bytes) -> Response:
    from evaluation.sheets import printing  # the drawing behind it is heavy: not at the server's start

    notebook, session_id, name = (
        house.current().notebook,
        request.path_params["session_id"],
        request.path_params["name"],
    )
    wish = _wish(request.query_params)
    if name in ("weighing", "trace-weighing"):  # of a session that separates changes; of a series about an off-note
        sheet = printing.weighing_sheet if name == "weighing" else printing.trace_sheet
        amounts = (_amount(one, request.query_params.get(one, "")) for one in ("grams", "step"))
        return _file(sheet(notebook, session_id, wish, *amounts))
    if name == "calendar":
        return _file(printing.calendar(notebook, session_id, wish))
    if name == "answers":
        return _file(printing.answer_table(notebook, session_id))
    return _file(printing.open_sheet(notebook, session_id, name, wish))


def _keyed_sheet(request: Request, body: bytes) -> Response:
    from evaluation.sheets import printing

    form = _form(body)
    if "looking" not in form:
        raise ArgumentError("Say first who is looking.")
    session_id, name = request.path_params["session_id"], request.path_params["name"]
    who = form["looking"] or None  # empty: somebody who does not smell
    return _file(printing.keyed_sheet(house.current().notebook, session_id, name, _wish(form), who))


def _wish(said: Mapping[str, str]) -> Any:
    from evaluation.sheets.printing import Wish

    given: dict[str, Any] = {name: said[name] for name in ("form", "paper", "stock") if said.get(name)}
    given |= {name: _number(name, said[name], int) for name in ("used", "seat") if said.get(name)}
    given |= {name: _number(name, said[name], float) for name in ("right", "down") if said.get(name)}
    return Wish(**given, qr=said.get("qr") == "1")


def _number(name: str, text: str, kind: type[int] | type[float]) -> float:
    try:
        return kind(text[:LONGEST_NUMBER].replace(",", "."))
    except ValueError:
        raise ArgumentError(f"{name} must be a number, not {text[:LONGEST_NUMBER]!r}.") from None


def _amount(name: str, text: str) -> Decimal:
    return typed_values.number(f"{name} of the scale" if name == "step" else name, text, "10 or 0.001")


def _file(made: Any) -> Response:
    """A PDF is saved, an HTML sheet is shown for printing."""
    shown = made.kind.startswith("text/html")
    saved_as = f'{"inline" if shown else "attachment"}; filename="{made.name}"'
    return Response(made.content, media_type=made.kind, headers={**HEADERS, "Content-Disposition": saved_as})


# --- paper answers ----------------------------------------------------------------------------------------------------


def _paper(request: Request, body: bytes) -> Response:
    from parts.bench import typing_page

    return _page(
        typing_page.page(house.current(), request.path_params["session_id"], request.query_params.get("card", ""))
    )


def _typed(request: Request, body: bytes) -> Response:
    from parts.bench import typing_page

    form = _form(body)
    here, session_id = house.current(), request.path_params["session_id"]
    return _page(typing_page.typed(here, session_id, form.get("card", ""), form.get("line", "")))


def _table(request: Request, body: bytes) -> Response:
    from parts.bench import typing_page

    return _page(typing_page.table(house.current(), request.path_params["session_id"], _upload(request, body)))


def _page(text: str) -> Response:
    return Response(text, media_type="text/html; charset=utf-8", headers=HEADERS)


def _form(body: bytes) -> dict[str, str]:
    try:
        fields = parse_qs(body.decode(), keep_blank_values=True, max_num_fields=20)
    except ValueError:
        return {}
    return {name: values[0] for name, values in fields.items()}


def _upload(request: Request, body: bytes) -> bytes:
    """The one file of a form, as browsers send it (multipart/form-data, RFC 7578)."""
    kind = request.headers.get("content-type", "")
    if not kind.startswith("multipart/form-data"):
        return body
    try:
        message = BytesParser(policy=HTTP).parsebytes(f"Content-Type: {kind}\r\n\r\n".encode() + body)
        for part in message.iter_parts() if message.is_multipart() else ():
            if part.get_filename() is not None:
                content = part.get_payload(decode=True)
                return content if isinstance(content, bytes) else b""
    except (ValueError, TypeError, LookupError, AttributeError, RecursionError):  # a form inside a form, and so on
        raise ArgumentError("A table must come as one file of a form.") from None
    return b""
