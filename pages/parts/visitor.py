"""Who is looking at this page: asked at the top of every run and of every fragment run."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final
from urllib.parse import urlsplit

import streamlit as st
from parts import house
from parts.house import LOOPBACK, House

from evaluation.actions import doors
from evaluation.actions.doors import NO_VISITOR, Visitor

VISIT_COOKIE: Final = "mouillette_visit"
JOINED_COOKIE: Final = "mouillette_joined"  # a ballot was joined in this browser: no more passphrase-free work here
FORWARDED: Final = frozenset({"forwarded", "via", "x-real-ip", "x-forwarded", "cf-connecting-ip", "true-client-ip"})
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
    relayed = any(name in FORWARDED or name.startswith("x-forwarded-") for name in met.names)
    return host_name(met.host) in LOOPBACK and not relayed


def host_name(host: str) -> str:
    """The name in a Host header, without its port; "" where it cannot be read."""
    try:
        return (urlsplit(f"//{host}").hostname or "").rstrip(".")
    except ValueError:
        return ""


def current() -> Visitor:
    """The visitor of this run."""
    headers = st.context.headers
    return recognise(house.current(), handshake(headers, st.context.cookies)) if headers else NO_VISITOR


def require(role: str) -> Visitor:
    """The visitor, if of this role; else this run stops with a sentence. Call it first, in fragments too."""
    visitor = current()
    if visitor.role != role:
        st.warning(NOT_YOURS)
        st.stop()
    return visitor
