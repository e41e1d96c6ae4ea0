"""Who is looking at this page: asked at the top of every run and of every fragment run."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import streamlit as st
from parts import house
from parts.house import LOOPBACK, House

from evaluation.actions import doors
from evaluation.actions.doors import NO_VISITOR, Visitor
from evaluation.store import Transaction

VISIT_COOKIE: Final = "mouillette_visit"
JOINED_COOKIE: Final = "mouillette_joined"  # a ballot was joined in this browser: no more passphrase-free work here
KNOWN_COOKIE: Final = "mouillette_known"  # the conductor signed in here before: tries are counted by themselves
# What relays add to a request, by the names common among them. No list is complete: this one errs on the wide side.
FORWARDED: Final = re.compile(
    r"forwarded|client-?ip|real-ip|remote-(ip|addr)|connecting-ip|^via$|^cdn-|^cf-|^x-(original|envoy|proxy)"
)
_HOST: Final = re.compile(r"(?a:\[([0-9a-f:.]+)\]|([\w.-]+))(?::[0-9]{1,5})?", re.IGNORECASE)
NOT_YOURS: Final = "This page is not open to you any more. Reload it to go on."


@dataclass(frozen=True, slots=True)
class Handshake:
    """What the browser said when it connected."""

    host: str
    names: frozenset[str]  # of all headers, in lower case
    cookies: Mapping[str, str]


def handshake(headers: Mapping[str, str], cookies: Mapping[str, str]) -> Handshake:
    """The part of headers and cookies that decides who somebody is."""
    lowered = {name.lower(): value for name, value in headers.items()}
    return Handshake(lowered.get("host", ""), frozenset(lowered), cookies)


def recognise(here: House, met: Handshake) -> Visitor:
    """The visitor by cookie; without one the conductor, where working without a passphrase is allowed."""
    known = doors.who(here.notebook, met.cookies.get(VISIT_COOKIE))
    if known.role == doors.NOBODY and no_passphrase_needed(here, met):
        return Visitor(doors.CONDUCTOR)
    return known


def no_passphrase_needed(here: House, met: Handshake) -> bool:
    """Only at this very machine, by nobody's relay, where no ballot was joined, while no passphrase is set."""
    return (
        here.local
        and direct_loopback(met)
        and JOINED_COOKIE not in met.cookies
        and not doors.has_passphrase(here.notebook)
    )


def direct_loopback(met: Handshake) -> bool:
    """True for a browser on this machine that came by no proxy, as far as headers can tell."""
    relayed = any(FORWARDED.search(name) for name in met.names)
    return host_name(met.host) in LOOPBACK and not relayed


def host_name(host: str) -> str:
    """The name in a Host header, without its port; "" where it is anything but a name and a port.

    A reader of addresses would find "localhost" in "somebody@localhost" and "::1" in "[::1].elsewhere.example".
    """
    read = _HOST.fullmatch(host)
    return (read[1] or read[2]).lower().removesuffix(".") if read else ""


def current() -> Visitor:
    """The visitor of this run."""
    headers = st.context.headers
    return recognise(house.current(), handshake(headers, st.context.cookies)) if headers else NO_VISITOR


def ballot_in(tx: Transaction) -> str | None:
    """The ballot of this run's visitor, None for anybody else; asked in the transaction that reads the ballot."""
    known = doors.who_in(tx, st.context.cookies.get(VISIT_COOKIE)) if st.context.headers else NO_VISITOR
    return known.ballot_id if known.role == doors.BALLOT else None


def require(role: str) -> Visitor:
    """The visitor, if of this role; else this run stops with a sentence. Call it first, in fragments too."""
    visitor = current()
    if visitor.role != role:
        st.warning(NOT_YOURS)
        st.stop()
    return visitor
