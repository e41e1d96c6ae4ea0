"""What a server may see: whose tray holds which codes, in tray order, at which strip age. No trial, no vial."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby

import streamlit as st
from parts import small_tables, typed_values
from parts.bench import progress
from parts.house import House

from evaluation.actions import bench
from evaluation.sessions import SKIN, STRIP, Medium, Serving, Session
from evaluation.wording.of_kinds import WORDS


def list_trays(here: House, session: Session) -> None:
    """One table per strip age and replicate."""
    names = aliases(here, session)
    served = bench.servings(here.notebook, session.id)
    st.caption(WORDS.of(session.plan.method).tray)
    shown = [s for s in served if (not s.spare or s.void) and s.seat in names]
    for (medium, age, replicate), sets in groupby(sorted(shown, key=_round), key=_when):
        here_now = list(sets)
        st.markdown(f"**{round_name(session, age, replicate, medium)}**")
        small_tables.table(
            ("Person", "Codes in tray order" if medium == STRIP else "Codes and places, in the order they are smelt"),
            [(names[s.seat], small_tables.codes(_placed(s))) for s in here_now],
            aside=[s.void for s in here_now],
        )
    _spares(names, served)


def _spares(names: dict[int, str], served: Iterable[Serving]) -> None:
    spare = [s for s in served if s.spare and not s.void and s.seat in names]
    if not spare:
        return
    with st.expander("Spare sets, dipped only when a set is spoilt"):
        small_tables.table(
            ("Person", "Codes in tray order"),
            [(names[s.seat], small_tables.codes(s.codes)) for s in spare],
        )


def aliases(here: House, session: Session) -> dict[int, str]:
    """Who sits where, spare seats nobody took left out."""
    seats = progress.seats_of(here, session.id)
    return {seat.seat: seat.alias for seat in seats if seat.panelist_id is not None}


def round_name(session: Session, age_seconds: int, replicate: int, medium: Medium = STRIP) -> str:
    """ "Strip age 5 min", or "On skin, 30 min", with the number of the set where one age has several."""
    sets = session.plan.sets_at(age_seconds)  # null sets too: which they are must not be read off
    several = f", set {replicate} of {sets}" if sets > 1 else ""
    when = "On skin," if medium == SKIN else "Strip age"
    return f"{when} {typed_values.age_name(age_seconds)}{several}"


def _placed(serving: Serving) -> tuple[str, ...]:
    """Codes, on skin each with its place."""
    if not serving.sites:
        return serving.codes
    return tuple(f"{code} {site}" for code, site in zip(serving.codes, serving.sites, strict=True))


def _when(serving: Serving) -> tuple[Medium, int, int]:
    return serving.medium, serving.age_seconds, serving.replicate


def set_name(session: Session, names: dict[int, str], serving: Serving) -> str:
    """One set in a selector: "Amber, strip age 5 min: 482 517 903"."""
    when = round_name(session, serving.age_seconds, serving.replicate, serving.medium)
    return f"{names[serving.seat]}, {when[0].lower()}{when[1:]}: {' '.join(serving.codes)}"


def _round(serving: Serving) -> tuple[str, int, int, int, bool]:
    return serving.medium, serving.age_seconds, serving.replicate, serving.seat, not serving.void
