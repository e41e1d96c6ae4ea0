"""What the whole process shares: the open notebook, the server secret, and how the app can be reached."""

from __future__ import annotations

import os
import socket
import struct
import sys
from collections import OrderedDict
from dataclasses import dataclass, field
from ipaddress import ip_address
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import urlsplit

from evaluation.actions import doors
from evaluation.errors import StateError

if TYPE_CHECKING:
    from evaluation.keeping.own_copies import Keeper
    from evaluation.store import Notebook

LOOPBACK: Final = frozenset({"localhost", "127.0.0.1", "::1"})
PUBLIC_ADDRESS: Final = "public address"  # the setting in which the conductor's choice is kept
_SIOCGIFADDR: Final = 0x8915


@dataclass(frozen=True, slots=True)
class House:
    """One running app. ``addresses`` are base URLs others in the network could use."""

    notebook: Notebook
    secret: bytes
    port: int = 8501
    lan: bool = False
    demo: bool = False
    public_url: str = ""
    database_server: bool = False
    addresses: tuple[str, ...] = ()
    strange_links: int = 0  # links found at the start that were made with another secret
    alarms: tuple[str, ...] = ()  # what was found at the start to be not as it was left or written
    keeper: Keeper | None = None  # makes copies, where the notebook is a file that is kept
    typed: OrderedDict[tuple[str, str], dict[str, Any]] = field(default_factory=OrderedDict)  # see plan.typed_kept

    @property
    def local(self) -> bool:
        """True where working without a passphrase can be allowed at all."""
        return not (self.lan or self.public_url or self.database_server)

    @property
    def secure(self) -> bool:
        """True where cookies travel over HTTPS only."""
        return self.public_url.startswith("https://")

    @property
    def hosts(self) -> frozenset[str]:
        """Host names a request may name."""
        named = (urlsplit(url).hostname or "" for url in (self.public_url, *self.addresses))
        return LOOPBACK | {name for name in named if name}

    @property
    def setup_code(self) -> str:
        """What the terminal prints so that the first passphrase can be chosen from elsewhere."""
        return doors.derive(self.secret, "setup code").hex()[:10]

    def address(self) -> str:
        """The base URL that goes into links and QR codes."""
        if self.public_url:
            return self.public_url
        with self.notebook.reading() as tx:
            chosen: str | None = tx.doors.setting(PUBLIC_ADDRESS)
        if chosen in self.addresses:
            return chosen
        return self.addresses[0] if self.addresses else f"http://127.0.0.1:{self.port}"

    def choose_address(self, url: str) -> None:
        """Keep the conductor's choice among several addresses of this machine."""
        if url not in self.addresses:
            raise StateError(f"{url} is not an address of this machine.")
        with self.notebook.writing() as tx:
            tx.doors.set_setting(PUBLIC_ADDRESS, url)

    def ballot_link(self, token: str) -> str:
        """The address a panelist opens."""
        return f"{self.address()}/join/{token}"

    def ballot_links(self, session_id: str) -> dict[str, str]:
        """The links of all ballots of a session, by ballot id."""
        tokens = doors.links(self.notebook, self.secret, session_id)
        base = self.address()
        return {ballot_id: f"{base}/join/{token}" for ballot_id, token in tokens.items()}

    def renew_link(self, ballot_id: str) -> str:
        """A new link for one ballot; the old one stops working."""
        return self.ballot_link(doors.renew_link(self.notebook, self.secret, ballot_id))


_houses: list[House] = []  # at most one; a list, so that tests can swap it without a global statement


def put(house: House | None) -> None:
    """Set, or with None take away, the process-wide house."""
    _houses[:] = [] if house is None else [house]


def current() -> House:
    """What the whole process shares; StateError where the app is not running."""
    if not _houses:
        raise StateError("The app is not running: start it with python -m evaluation.")
    return _houses[0]


def private_addresses() -> tuple[str, ...]:
    """This machine's own addresses in private networks, found without sending anything."""
    found = _linux_addresses() if sys.platform == "linux" else _named_addresses()
    return tuple(sorted({one for one in found if _private(one)}))


def _linux_addresses() -> list[str]:
    import fcntl  # not on every system

    found = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        for _, name in socket.if_nameindex():
            wanted = struct.pack("256s", os.fsencode(name)[:15])
            try:
                reply = fcntl.ioctl(asking.fileno(), _SIOCGIFADDR, wanted)
            except OSError:
                continue  # an interface without an address
            found.append(socket.inet_ntoa(reply[20:24]))
    return found


def _named_addresses() -> list[str]:
    try:
        return list(socket.gethostbyname_ex(socket.gethostname())[2])
    except OSError:
        return []


def _private(text: str) -> bool:
    address = ip_address(text)
    return address.is_private and not address.is_loopback and not address.is_link_local
