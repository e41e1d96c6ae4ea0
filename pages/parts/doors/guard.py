"""First in line: refuses foreign Host and Origin, shuts side doors of the framework, sets security headers."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any, Final
from urllib.parse import urlsplit

from parts.doors.visitor import host_name

Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Message, Receive, Send], Awaitable[None]]

HARMLESS: Final = frozenset({"GET", "HEAD", "OPTIONS"})
INNER: Final = "/_stcore/"
# What the browser side of the framework needs; metrics, agent interface and script checks answer to nobody. No page
# takes files, and an open upload would let any panelist fill the memory of the server.
OPEN_INNER: Final = ("health", "host-config", "stream", "bidi-components/")
SHUT: Final = ("/auth/", "/oauth2callback")
WRONG_HOST: Final = "This address does not belong to Mouillette."
WRONG_ORIGIN: Final = "This request comes from another site and is refused."
CLOSED: Final = "Not found."

# "no-referrer" would make browsers send "Origin: null" with our own forms, so "same-origin" is the strictest usable.
# The framework's own scripts and styles need the "unsafe" words; what counts is that nothing comes from elsewhere.
POLICY: Final = (
    "default-src 'self'; script-src 'self' 'unsafe-inline' 'unsafe-eval' blob: data:; "
    "style-src 'self' 'unsafe-inline'; "
    "img-src 'self' data: blob:; font-src 'self' data:; media-src 'self' data: blob:; worker-src 'self' blob:; "
    "connect-src 'self' ws: wss: data: blob:; object-src 'none'; base-uri 'self'; form-action 'self'; "
)
HEADERS: Final = (
    (b"referrer-policy", b"same-origin"),
    (b"x-content-type-options", b"nosniff"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
)


class Guard:
    """Plain ASGI middleware."""

    def __init__(self, app: App, hosts: frozenset[str], public_origin: str = "") -> None:
        self.app = app
        self.hosts = hosts
        self.public_origin = public_origin
        self.secure = public_origin.startswith("https:")

    async def __call__(self, scope: Message, receive: Receive, send: Send) -> None:
        """Pass a request on with our headers on its answer, or answer it with the reason it is refused for."""
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        refusal = self.refusal(scope)
        if refusal is None:
            await self.app(scope, receive, _with_headers(scope["path"], send, secure=self.secure))
        else:
            await _refuse(scope, receive, send, *refusal)

    def refusal(self, scope: Message) -> tuple[int, str] | None:
        """Status and sentence for what may not pass."""
        hosts, origins = _values(scope, b"host"), _values(scope, b"origin")
        if len(hosts) != 1 or host_name(hosts[0]) not in self.hosts:
            return 403, WRONG_HOST
        if not self._origin_fits(scope, hosts[0], origins):
            return 403, WRONG_ORIGIN
        return (404, CLOSED) if _shut(scope["path"]) else None

    def _origin_fits(self, scope: Message, host: str, origins: list[str]) -> bool:
        if not origins:
            return scope["type"] == "http" and scope["method"] in HARMLESS
        return all(one == self.public_origin or _same_place(one, host) for one in origins)


def origin_of(url: str) -> str:
    """Scheme, host and port of a URL, as browsers write an Origin."""
    parts = urlsplit(url)
    return f"{parts.scheme}://{parts.netloc}".lower() if parts.netloc else ""


def _same_place(origin: str, host: str) -> bool:
    return origin.lower() in (f"http://{host.lower()}", f"https://{host.lower()}")


def _shut(path: str) -> bool:
    if path.startswith(INNER):
        return not path.removeprefix(INNER).startswith(OPEN_INNER)
    return path.startswith(SHUT)


def _values(scope: Message, name: bytes) -> list[str]:
    return [value.decode("latin-1") for key, value in scope["headers"] if key.lower() == name]


async def _refuse(scope: Message, receive: Receive, send: Send, status: int, sentence: str) -> None:
    if scope["type"] == "websocket":  # closing before accepting answers the handshake with 403
        await receive()
        await send({"type": "websocket.close", "code": 1008, "reason": sentence})
        return
    headers = [(b"content-type", b"text/plain; charset=utf-8"), *HEADERS]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": sentence.encode()})


def _with_headers(path: str, send: Send, *, secure: bool) -> Send:
    ancestors = "'self'" if path.startswith("/component/") else "'none'"
    policy = (b"content-security-policy", f"{POLICY}frame-ancestors {ancestors}".encode())

    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            given = {key.lower() for key, _ in message.get("headers", ())}
            added = [pair for pair in (*HEADERS, policy) if pair[0] not in given]
            own = [_secured(pair) if secure else pair for pair in message.get("headers", ())]
            message["headers"] = [*own, *added]
        await send(message)

    return sending


def _secured(header: tuple[bytes, bytes]) -> tuple[bytes, bytes]:
    """Every cookie, the framework's too, which knows of no proxy, travels over HTTPS only."""
    name, value = header
    words = {word.strip().lower() for word in value.split(b";")[1:]}
    return (name, value + b"; Secure") if name.lower() == b"set-cookie" and b"secure" not in words else header
