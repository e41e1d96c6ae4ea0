"""The size that matters: three named steps, an own value, or the share itself; and what a *not noticed* takes."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType
from typing import Final

import streamlit as st
from parts.plan import filled_form, plain_table
from parts.plan.filled_from import Room
from parts.plan.typed import Typed

from evaluation import wording
from evaluation.errors import MouilletteError
from evaluation.ground.tables_digits import fixed
from evaluation.kinds import kind_of
from evaluation.planning import sizes
from evaluation.wording.of_sizes import people

LEAD: Final = (
    "From what difference on does it matter to you? Said by people: of 100 who smell the two side by side and know "
    "what to look for, how many pick right. By guessing 50 do. The method does not change it."
)
NAMES: Final = MappingProxyType(
    {
        "slight": "Slight",
        "moderate": "Moderate",
        "marked": "Marked",
        sizes.OWN: "Own value",
        sizes.SHARE: "A share pd, as in published tables",
    }
)
SHARE_NOTE: Final = "The share who notice in this method; in another method the same share is another difference."
NO_SIZE: Final = (
    "Two out of five has no published way from a size to a share: say the share itself. A size chosen before comes "
    "back with another method."
)
UNNOTICED: Final = (
    "**It must not be noticed.** The session should end in “not noticed”, which says that fewer would notice than "
    "at this size, at the beta risk below, and never that the two are the same. Keep beta small: it is the risk of "
    "“not noticed” where the difference is of this size."
)
COST_LEAD: Final = "What it takes at this size so that no answers leave it undecided (one answer a person)"
_PD: Final = (
    "The share of people who really notice in this method, from which on the change matters to you: under 0.25 small, "
    "0.25 to 0.35 medium, above that large."
)


def ask_for_size(room: Room, typed: Typed) -> Typed:
    """The size, whatever the method; the share where the method has no size or tables are planned by."""
    st.subheader("Size that matters", anchor=False)
    if typed.unnoticed:
        st.info(UNNOTICED)
    if not kind_of(typed.method).distance:
        st.caption(NO_SIZE)
        return _share(room, typed)
    return _own(room, _step(room, typed))


def _step(room: Room, typed: Typed) -> Typed:
    st.markdown(LEAD)
    offered = list(NAMES)
    said = st.radio(
        "Size that matters",
        offered,
        index=offered.index(typed.size),
        format_func=NAMES.__getitem__,
        captions=[_caption(each) for each in offered],
        label_visibility="collapsed",
        **room.keyed("size unnoticed" if typed.unnoticed else "size"),
    )
    return replace(typed, size=said)


def _caption(step: str) -> str:
    if step in sizes.STEPS:
        return f"{people(sizes.of_hundred(sizes.STEPS[step]))} of 100 pick right"
    return SHARE_NOTE if step == sizes.SHARE else f"{sizes.FEWEST} to {sizes.MOST} of 100"


def _own(room: Room, typed: Typed) -> Typed:
    """What is typed beside the two last choices."""
    if typed.size == sizes.SHARE:
        return _share(room, typed)
    if typed.size != sizes.OWN:
        return typed
    said = st.text_input("People of 100 who pick right", typed.of_hundred, **room.keyed("of hundred"))
    return replace(typed, of_hundred=said)


def _share(room: Room, typed: Typed) -> Typed:
    said = st.text_input("Share that matters (pd)", typed.pd, help=_PD, **room.keyed("pd"))
    return replace(typed, pd=said)


def costs(room: Room, typed: Typed) -> Typed:
    """Begun as "must not be noticed": answers and strips by method, fewest strips first; nothing is asked here."""
    if typed.unnoticed and kind_of(typed.method).distance:
        _costs(typed)
    return typed


def _costs(typed: Typed) -> None:
    try:
        size = filled_form.size_of(typed)
        risks = [float(filled_form.risk(name, text)) for name, text in (("alpha", typed.alpha), ("beta", typed.beta))]
    except MouilletteError:
        return  # said where the whole plan is built
    if size is None:
        return
    st.markdown(f"**{COST_LEAD}**")
    found = sizes.costs(size, *risks, typed.solo)
    plain_table.draw_table(("Method", "pd there", "Answers", "Strips"), [_row(one) for one in found])
    st.caption("2-AFC and 3-AFC need a quality you can name. At alpha and beta as they stand above, for one strip age.")


def _row(cost: sizes.Cost) -> tuple[str, str, str, str]:
    numbers = ("millions", "millions") if cost.answers is None else (str(cost.answers), str(cost.strips))
    return (wording.method_name(cost.method), fixed(cost.pd, 2), *numbers)
