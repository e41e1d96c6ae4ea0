"""On the page Skin: materials, and for each the limit its safety document gives."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal
from typing import Any, Final

import streamlit as st
from parts import frame, state, typed_values
from parts.skin.on_skin import zone

from evaluation.actions import skin
from evaluation.errors import ArgumentError
from evaluation.ground.intake import shortened
from evaluation.skin import (
    DOCUMENT_YEARS,
    KINDS_OF_USE,
    VOLATILITIES,
    Material,
    SkinLimit,
    counting_limits,
    exact,
    moment,
    source,
)
from evaluation.store import Notebook

LIMIT_HELP: Final = (
    "Percent of what is put on skin, as the document has it for use that stays on skin. Enter 0 where it is not to be "
    "used, 100 where the document sets no limit."
)
CONFIRM: Final = (
    f"A document older than {DOCUMENT_YEARS} years shuts the gate (our rule): look up the current one and enter it as "
    "a newer limit, or write down who looked and found that this one is still current. It is kept with its date."
)
SOLVENT: Final = "A solvent or carrier: it makes up the rest and is no active matter"
WINDOW_HELP: Final = (
    "When it is smelt on a strip, such as 20 – 180, if you know; it goes before the class. It tells which change could "
    "have been what moved, never more."
)
NO_CLASS: Final = "not said"


def edit_limits(notebook: Notebook) -> None:
    """Add, read, correct; a limit is only ever followed by another."""
    known = skin.materials(notebook)
    _add(notebook)
    if not known:
        frame.empty("No material yet. Enter each with the limit, name and date of its current safety document.")
        return
    limits, now = counting_limits(skin.limits(notebook)), notebook.clock.now()
    st.subheader(f"Materials: {len(known)}", anchor=False)
    st.markdown("\n".join(_line(one, limits.get(one.id), now) for one in known))
    old = [one for one in known if one.id in limits and limits[one.id].outdated(now)]
    if old:
        with st.expander(f"Documents older than {DOCUMENT_YEARS} years: {len(old)}", expanded=True):
            _confirm(notebook, old, limits)
    with st.expander("Newer limit of a material"):
        _newer(notebook, known)
    with st.expander("Correct a material"):
        _correct(notebook, known)


def _line(material: Material, limit: SkinLimit | None, now: int) -> str:
    window = f"smelt {material.minutes[0]} to {material.minutes[1]} min" if material.minutes else ""
    named_marks = [name for name in ("solvent", "natural", "phototoxic") if getattr(material, name)]
    marks = [material.volatility, window, *named_marks]
    named = " · ".join([f"**{frame.plain(material.name)}**", *filter(None, marks)])
    if limit is None:
        return f"- {named}  \n  :small[no limit for skin entered]"
    told = f"at most {exact(limit.percent)} % on skin, by {limit.document}, {limit.dated_on.day} {limit.dated_on:%b %Y}"
    if limit.confirmed_at is not None:
        told += f"; still current on {moment(limit.confirmed_at, zone())}, says {limit.confirmed_by}"
    if limit.outdated(now):
        told += f"; older than {DOCUMENT_YEARS} years: to be replaced or confirmed"
    return f"- {named}  \n  :small[{frame.plain(told)}]"


def _confirm(notebook: Notebook, old: list[Material], limits: dict[str, SkinLimit]) -> None:
    st.markdown(CONFIRM)
    named = {one.id: f"{one.name}, {source(limits[one.id])}" for one in old}
    with st.form(state.form_key("confirm limit"), border=False):
        picked = st.selectbox("Document that is still current", list(named), index=None, format_func=named.__getitem__)
        who = st.text_input("Who looked: name and role", max_chars=200)
        if st.form_submit_button("It is still current"):
            with frame.one_sentence():
                if picked is None:
                    raise ArgumentError("document must be chosen.")
                skin.confirm_limit(notebook, limits[picked].number, who)
                state.clear_form("confirm limit")
                state.say(f"{named[picked]}: confirmed as current.")
                st.rerun()


def _add(notebook: Notebook) -> None:
    name = state.form_key("material")
    with st.expander("Add a material"), st.form(name, border=False):
        typed = _marks(name, None)
        limit = _limit(name)
        if st.form_submit_button("Add material"):
            with frame.one_sentence():
                added = skin.add_material(
                    notebook, **_of_material(typed), limit=_read(limit) if limit["percent"].strip() else None
                )
                _keep_source(limit)
                state.clear_form("material")
                state.say(f"{added.name} is among the materials.")
                st.rerun()


def _marks(name: str, material: Material | None) -> dict[str, Any]:
    left, right = st.columns([2, 1])
    typed: dict[str, Any] = {
        "name": left.text_input("Material", material.name if material else "", max_chars=80, key=f"{name} material"),
        "volatility": right.selectbox(
            "Class",
            VOLATILITIES,
            VOLATILITIES.index(material.volatility) if material else 0,
            format_func=lambda one: one or NO_CLASS,
            key=f"{name} class",
        ),
    }
    typed["minutes"] = left.text_input(
        "Smelt on a strip from – to, minutes",
        f"{material.minutes[0]} – {material.minutes[1]}" if material and material.minutes else "",
        placeholder="by its class",
        help=WINDOW_HELP,
        key=f"{name} minutes",
    )
    natural = "A natural material (holds many substances)"
    sun = "Phototoxic by its safety document"
    typed["natural"] = st.checkbox(natural, material.natural if material else False, key=f"{name} natural")
    typed["solvent"] = st.checkbox(SOLVENT, material.solvent if material else False, key=f"{name} solvent")
    typed["phototoxic"] = st.checkbox(sun, material.phototoxic if material else False, key=f"{name} phototoxic")
    return typed


_SOURCE: Final = "last safety document"


def _limit(name: str) -> dict[str, Any]:
    """The limit and where it is from; the document named last is offered again."""
    document, dated = st.session_state.get(_SOURCE, ("", None))
    left, right = st.columns(2)
    return {
        "percent": left.text_input("Limit on skin, %", help=LIMIT_HELP, key=f"{name} limit"),
        "kind_of_use": right.selectbox("Kind of use the limit is for", KINDS_OF_USE, key=f"{name} use"),
        "document": left.text_input("Document it is from", document, max_chars=200, key=f"{name} document"),
        "dated_on": right.date_input("Date of that document", dated, key=f"{name} dated"),
    }


def _keep_source(limit: dict[str, Any]) -> None:
    st.session_state[_SOURCE] = (limit["document"], limit["dated_on"])


_SPAN: Final = re.compile(r"\s*(\d{1,6})\s*(?:[-–—]|to)\s*(\d{1,6})\s*", re.ASCII)


def read_minutes(text: str) -> tuple[int, int] | None:
    """A window as it is typed, None where nothing is."""
    if not text.strip():
        return None
    found = _SPAN.fullmatch(text)
    if found is None:
        raise ArgumentError(f"minutes must be two whole numbers such as 20 – 180, not {shortened(text.strip())}.")
    return int(found[1]), int(found[2])


def _of_material(typed: dict[str, Any]) -> dict[str, Any]:
    """Name and window as they are kept."""
    return typed | {"name": typed["name"].strip(), "minutes": read_minutes(typed["minutes"])}


def _read(limit: dict[str, Any]) -> tuple[Decimal, str, date, str]:
    percent = typed_values.number("limit", limit["percent"], "0.8")
    if not isinstance(limit["dated_on"], date):
        raise ArgumentError("date of the document must be given.")
    return percent, limit["document"], limit["dated_on"], limit["kind_of_use"]


def _newer(notebook: Notebook, known: tuple[Material, ...]) -> None:
    names = {one.id: one.name for one in known}
    picked = st.selectbox("Material", list(names), index=None, format_func=names.__getitem__, key="limit of")
    name = state.form_key("newer limit")
    with st.form(name, border=False):
        limit = _limit(name)
        st.caption("What was entered before is kept; the limit entered last counts.")
        if st.form_submit_button("Enter this limit"):
            with frame.one_sentence():
                if picked is None:
                    raise ArgumentError("material must be chosen.")
                skin.add_limit(notebook, picked, *_read(limit))
                _keep_source(limit)
                state.clear_form("newer limit")
                state.say(f"{names[picked]} has a newer limit.")
                st.rerun()


def _correct(notebook: Notebook, known: tuple[Material, ...]) -> None:
    by_id = {one.id: one for one in known}
    picked = st.selectbox(
        "Material to correct", list(by_id), format_func=lambda one: by_id[one].name, key="material to correct"
    )
    with st.form(f"correct {picked}", border=False):
        typed = _marks(f"correct {picked}", by_id[picked])
        if st.form_submit_button("Save material"):
            with frame.one_sentence():
                changed = skin.change_material(notebook, picked, **_of_material(typed))
                state.say(f"{changed.name} is corrected.")
                st.rerun()
