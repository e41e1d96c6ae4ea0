"""The doors as plain routes: sign in, choose or change the passphrase, join a ballot, leave."""

from __future__ import annotations

import hmac
from collections.abc import Callable
from http import HTTPStatus
from typing import Any, Final
from urllib.parse import parse_qs

from parts import house
from parts.doors import plain_pages
from parts.doors.visitor import (
    JOINED_COOKIE,
    KNOWN_COOKIE,
    VISIT_COOKIE,
    direct_loopback,
    handshake,
    no_passphrase_needed,
)
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from evaluation.actions import doors, recovery
from evaluation.errors import ArgumentError, MouilletteError, Refused, told_to_panelists

Form = dict[str, str]
Answering = Callable[[Request, Form], Response]

LONGEST_BODY: Final = 4096
APP_COOKIE: Final = "_streamlit_xsrf"  # the framework's: this browser has opened the app before
SETUP_DOOR: Final = "set-up code"
NOT_HERE: Final = (
    "The first passphrase is chosen in a browser on the computer Mouillette runs on, or with the set-up code."
)
HEADERS: Final = {
    "Cache-Control": "no-store",
    "Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'; form-action 'self'; "
    "base-uri 'none'; frame-ancestors 'none'",
}


def routes() -> list[Route]:
    """All doors, for the server to put before the framework's own routes."""
    return [
        _route("/sign-in", _show_sign_in, _sign_in),
        _route("/first-passphrase", _show_first_passphrase, _first_passphrase),
        _route("/passphrase", _show_passphrase, _passphrase),
        _route("/let-in", _show_let_in, _let_in),
        _route("/join/{token}", _join, _join_after_asking),
        _route("/leave", _show_leave, _leave),
    ]


def _route(path: str, show: Answering, act: Answering) -> Route:
    async def endpoint(request: Request) -> Response:
        if request.method == "POST":
            return await run_in_threadpool(act, request, await _form(request))
        return await run_in_threadpool(show, request, {})

    return Route(path, endpoint, methods=["GET", "POST"])


# --- the conductor ----------------------------------------------------------------------------------------------


def _show_sign_in(request: Request, form: Form) -> Response:
    if doors.has_passphrase(house.current().notebook):
        return _html(plain_pages.sign_in())
    return _html(plain_pages.no_passphrase_yet())


def _sign_in(request: Request, form: Form) -> Response:
    notebook = house.current().notebook
    try:
        token = doors.sign_in(notebook, form.get("passphrase", ""), request.cookies.get(KNOWN_COOKIE))
    except Refused as refused:
        return _html(plain_pages.sign_in(str(refused)), HTTPStatus.FORBIDDEN)
    doors.sign_out(notebook, _cookie(request))
    return _conductor_enters(request, token)


def _show_let_in(request: Request, form: Form) -> Response:
    return _html(plain_pages.let_in())


def _let_in(request: Request, form: Form) -> Response:
    notebook = house.current().notebook
    try:
        token = recovery.enter_with_code(notebook, form.get("code", ""))
    except Refused as refused:
        return _html(plain_pages.let_in(str(refused)), HTTPStatus.FORBIDDEN)
    doors.sign_out(notebook, _cookie(request))
    return _conductor_enters(request, token)


def _show_passphrase(request: Request, form: Form) -> Response:
    return _elsewhere(request) or _html(plain_pages.another_passphrase())


def _passphrase(request: Request, form: Form) -> Response:
    elsewhere = _elsewhere(request)
    if elsewhere is not None:
        return elsewhere
    own = request.cookies.get(KNOWN_COOKIE) or _cookie(request)
    given = (form.get("current", ""), form.get("passphrase", ""))
    try:
        _check_twice(form)
        token = recovery.change_passphrase(house.current().notebook, *given, own)
    except (Refused, ArgumentError) as problem:
        return _html(plain_pages.another_passphrase(str(problem)), HTTPStatus.FORBIDDEN)
    return _conductor_enters(request, token)


def _elsewhere(request: Request) -> Response | None:
    """Where somebody is sent who cannot change the passphrase: there is none yet, or they are not the conductor."""
    notebook = house.current().notebook
    if not doors.has_passphrase(notebook):
        return _home("/first-passphrase")
    return None if doors.who(notebook, _cookie(request)).role == doors.CONDUCTOR else _home("/sign-in")


def _show_first_passphrase(request: Request, form: Form) -> Response:
    if doors.has_passphrase(house.current().notebook):
        return _home("/sign-in")
    return _html(plain_pages.first_passphrase(_needs_code(request)))


def _first_passphrase(request: Request, form: Form) -> Response:
    needed = _needs_code(request)
    try:
        _check_twice(form)
        if needed:
            _check_code(form.get("code", ""))
        token = doors.set_first_passphrase(house.current().notebook, form.get("passphrase", ""))
    except (Refused, ArgumentError) as problem:
        return _html(plain_pages.first_passphrase(needed, told_to_panelists(problem)), HTTPStatus.FORBIDDEN)
    return _conductor_enters(request, token)


def _needs_code(request: Request) -> bool:
    """A browser on this machine needs none, unless a proxy may stand between or the store is shared."""
    here = house.current()
    at_home = not here.public_url and not here.database_server
    return not (at_home and direct_loopback(handshake(request.headers, request.cookies)) and _peer_is_loopback(request))


def _peer_is_loopback(request: Request) -> bool:
    return request.client is not None and request.client.host in house.LOOPBACK


def _check_twice(form: Form) -> None:
    if form.get("passphrase", "") != form.get("again", ""):
        raise ArgumentError("The two passphrases differ.")


def _check_code(given: str) -> None:
    here = house.current()
    right = hmac.compare_digest(given.strip().encode(), here.setup_code.encode())
    doors.attempt(here.notebook, SETUP_DOOR, lambda: right, NOT_HERE)


def _conductor_enters(request: Request, token: str) -> Response:
    known = doors.remember(house.current().notebook, request.cookies.get(KNOWN_COOKIE))
    response = _home()
    _set(response, VISIT_COOKIE, token, doors.CONDUCTOR_VISIT)
    _set(response, KNOWN_COOKIE, known, doors.KNOWN_FOR)
    _unset(response, JOINED_COOKIE)
    return response


# --- panelists ------------------------------------------------------------------------------------------------------


def _join(request: Request, form: Form) -> Response:
    """No effect beyond the cookie: messengers fetch links ahead of their readers."""
    here, path = house.current(), f"/join/{request.path_params['token']}"
    if request.headers.get("sec-fetch-site") == "cross-site":  # its cookies did not come with it: nobody is recognised
        return _html(plain_pages.hop(f"{path}?again=1", at_once="again" not in request.query_params))
    try:
        doors.check_link(here.notebook, request.path_params["token"])
    except MouilletteError as problem:
        return _html(
            plain_pages.sentence("This link does not open a ballot", told_to_panelists(problem)), HTTPStatus.FORBIDDEN
        )
    if _conductor_here(request):
        return _html(plain_pages.ask_before_joining(path, doors.has_passphrase(here.notebook)))
    return _panelist_enters(request)


def _conductor_here(request: Request) -> bool:
    """True if joining would take the conductor's pages from this browser; without a passphrase, if it had them open."""
    here = house.current()
    if doors.who(here.notebook, _cookie(request)).role == doors.CONDUCTOR:
        return True
    met = handshake(request.headers, request.cookies)
    return APP_COOKIE in request.cookies and no_passphrase_needed(here, met)


def _join_after_asking(request: Request, form: Form) -> Response:
    try:
        response = _panelist_enters(request)
    except MouilletteError as problem:
        return _html(
            plain_pages.sentence("This link does not open a ballot", told_to_panelists(problem)), HTTPStatus.FORBIDDEN
        )
    doors.sign_out(house.current().notebook, _cookie(request))
    return response


def _panelist_enters(request: Request) -> Response:
    token, _ = doors.join(house.current().notebook, request.path_params["token"])
    response = _home()
    _set(response, VISIT_COOKIE, token, doors.BALLOT_VISIT)
    _set(response, JOINED_COOKIE, "1", 10 * doors.BALLOT_VISIT)
    return response


def _show_leave(request: Request, form: Form) -> Response:
    return _html(plain_pages.leave())


def _leave(request: Request, form: Form) -> Response:
    doors.sign_out(house.current().notebook, _cookie(request))
    response = _home()
    _unset(response, VISIT_COOKIE)
    return response


def trouble(request: Request, problem: Exception) -> Response:
    """What nobody caught on a route: the sentence it carries, on a page of ours."""
    return _html(plain_pages.sentence("This did not work", _said(problem)), HTTPStatus.SERVICE_UNAVAILABLE)


def unforeseen(said_of: Callable[..., str]) -> Callable[[Request, Exception], Response]:
    """The same for what nobody foresaw; ``said_of`` knows whether the notebook is damaged."""

    def answer(request: Request, problem: Exception) -> Response:
        said = said_of(problem, conductor=False)
        return _html(plain_pages.sentence("This did not work", said), HTTPStatus.INTERNAL_SERVER_ERROR)

    return answer


def _said(problem: Exception) -> str:
    return told_to_panelists(problem) if isinstance(problem, MouilletteError) else str(problem)


# --- small things -----------------------------------------------------------------------------------------------------


async def _form(request: Request) -> Form:
    body = b""
    async for part in request.stream():
        body += part
        if len(body) > LONGEST_BODY:
            return {}
    try:
        fields = parse_qs(body.decode(), keep_blank_values=True, max_num_fields=10)
    except ValueError:
        return {}
    return {name: values[0] for name, values in fields.items()}


def _cookie(request: Request) -> str | None:
    value: str | None = request.cookies.get(VISIT_COOKIE)
    return value


def _html(text: str, status: int = HTTPStatus.OK) -> Response:
    return HTMLResponse(text, status, headers=HEADERS)


def _home(where: str = "/") -> Response:
    return RedirectResponse(where, HTTPStatus.SEE_OTHER, headers=HEADERS)


def _set(response: Response, name: str, value: str, lasts: int) -> None:
    response.set_cookie(name, value, max_age=lasts // 1000, **_manner())


def _unset(response: Response, name: str) -> None:
    response.delete_cookie(name, **_manner())


def _manner() -> dict[str, Any]:
    return {"path": "/", "httponly": True, "samesite": "strict", "secure": house.current().secure}
