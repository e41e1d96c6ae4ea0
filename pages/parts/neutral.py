"""Small changes to the framework that settings do not offer: it tells browsers nothing about this machine.

Every name changed here is private to the framework, so ``apply`` fails loudly when one is missing and tests hold
each effect over the real websocket.
"""

from __future__ import annotations

import socket
from typing import Any, Final

from streamlit import net_util
from streamlit.runtime.app_session import AppSession
from streamlit.web.server.starlette import starlette_server

from evaluation.errors import StoreError

# Messages a browser may send. Left out: git information (it names untracked files), clearing everybody's cache,
# run-on-save, places to upload files to, and the installation of developer aids.
HEARD: Final = frozenset({"rerun_script", "stop_script", "app_heartbeat", "backend_operation_request"})
OPERATIONS: Final = frozenset({"deferred_file", "dataframe_chunk"})
UNTOLD: Final = "untold"


def apply() -> None:
    """Change the framework, once per process."""
    _check_known()
    session: Any = AppSession
    network: Any = net_util
    server: Any = starlette_server
    if network.get_external_ip is _no_address:
        return
    session.handle_backmsg = _hearing_only(session.handle_backmsg)
    session._create_new_session_message = _untold(session._create_new_session_message)
    server._bind_socket = _undelayed(server._bind_socket)
    network.get_internal_ip = _no_address
    network.get_external_ip = _no_address  # it would ask an outside service


def _check_known() -> None:
    for owner, name in (
        (AppSession, "handle_backmsg"),
        (AppSession, "_create_new_session_message"),
        (net_util, "get_external_ip"),
        (net_util, "get_internal_ip"),
        (starlette_server, "_bind_socket"),
    ):
        if not callable(getattr(owner, name, None)):
            raise StoreError("This version of Streamlit is not known to keep a session blind: install version 1.67.")


def _hearing_only(handle: Any) -> Any:
    def handle_backmsg(self: Any, message: Any) -> None:
        if _heard(message):
            handle(self, message)

    return handle_backmsg


def _heard(message: Any) -> bool:
    kind = message.WhichOneof("type")
    if kind == "backend_operation_request":
        return message.backend_operation_request.WhichOneof("payload") in OPERATIONS
    return kind in HEARD


def _untold(create: Any) -> Any:
    def create_new_session_message(self: Any, *args: Any, **kwargs: Any) -> Any:
        message = create(self, *args, **kwargs)
        _blank(message.new_session)
        return message

    return create_new_session_message


def _blank(session: Any) -> None:
    """No path, versions, system or installation id; the frames still say the same thing at every start."""
    session.main_script_path = session.name = "app"
    told = session.initialize
    told.user_info.installation_id = told.user_info.installation_id_v3 = told.user_info.installation_id_v4 = UNTOLD
    told.environment_info.streamlit_version = told.environment_info.python_version = UNTOLD
    told.environment_info.server_os = UNTOLD
    told.environment_info.has_display = False
    told.recommend_skills_install = False
    told.skills_nudge_suppressed_reason = ""


def _no_address() -> None:
    return None


def _undelayed(bind: Any) -> Any:
    """Small frames go out at once. The framework's listening socket names no protocol, so that the event loop does not
    recognise its connections as TCP and leaves Nagle's algorithm on: 40 ms at every second answer."""

    def bind_socket(*args: Any, **kwargs: Any) -> socket.socket:
        bound: socket.socket = bind(*args, **kwargs)
        bound.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)  # connections accepted from it inherit it
        return bound

    return bind_socket
