"""Fields of a fan of two strips: the trial, the candidates on second strips, and what must be the same of them."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import streamlit as st
from parts import frame, typed_values
from parts.plan.filled_from import Room
from parts.plan.typed import Typed

from evaluation.actions import skin
from evaluation.errors import MouilletteError
from evaluation.formulas import exact
from evaluation.sessions import STRIP
from evaluation.values.second_strips import CANDIDATES, LONGEST_SOLVENT, SecondStrip
from evaluation.wording import of_fans

NOTE: Final = (
    "Under each code lie two strips, clipped together: one of the trial, beside it one of a candidate. Each panelist "
    "holds both at once and puts the pairs in order, the best liked first. Strips count twice for the nose."
)


def trial(room: Room, typed: Typed) -> Typed:
    """The one trial every candidate is held beside."""
    st.subheader("Trial", anchor=False)
    listed = list(room.trials)
    known = [each for each in typed.trial_ids if each in room.trials] or listed[-1:]
    chosen = st.selectbox(
        "Trial the candidates are held beside",
        listed,
        index=listed.index(known[0]),
        format_func=lambda each: room.trials[each].label,
        **room.keyed("fan trial"),
    )
    st.markdown(NOTE)
    return replace(typed, trial_ids=(chosen,), expected_order=(), meant="", medium=STRIP, solo=False, look_every=0,
                   null_sets=0)  # fmt: skip


def strips(room: Room, typed: Typed) -> Typed:
    """Two to five candidates, each with its percent, in one solvent."""
    fewest, most = CANDIDATES
    st.subheader("On the second strips", anchor=False)
    house = [one.name for one in skin.materials(room.notebook)]
    rows = [_candidate(room, typed, house, place) for place in range(most)]
    st.caption(f"{fewest} to {most} candidates; leave the rest empty. {of_fans.WHICH_DILUTION}")
    solvent = st.text_input(
        "Solvent of all second strips, and of the blank beside the trial alone",
        typed.second_solvent,
        max_chars=LONGEST_SOLVENT,
        **room.keyed("second solvent"),
    )
    filled = sum(bool(name.strip()) for name, _ in rows)
    dipped = [of_fans.pairs_dipped(1 + filled)] if filled >= fewest else []
    for line in (*_stands_for(room, typed, rows), *dipped):
        st.caption(frame.plain(line))
    st.info(of_fans.BLANK)
    st.warning(of_fans.CARE)
    st.markdown(of_fans.NO_MIXTURE)
    return replace(typed, second_strips=tuple(rows), second_solvent=solvent)


def _candidate(room: Room, typed: Typed, house: list[str], place: int) -> tuple[str, str]:
    name, told = typed.second_strips[place] if place < len(typed.second_strips) else ("", "")
    left, right = st.columns([3, 1])
    listed = list(dict.fromkeys([*house, *([name] if name else [])]))
    chosen = left.selectbox(
        f"Material {place + 1}",
        listed,
        index=listed.index(name) if name else None,
        placeholder="Choose, or type a name",
        accept_new_options=True,
        **room.keyed(f"second material {place}"),
    )
    percent = right.text_input("Percent by weight", told, max_chars=12, **room.keyed(f"second percent {place}"))
    return chosen or "", percent


def _stands_for(room: Room, typed: Typed, rows: list[tuple[str, str]]) -> list[str]:
    """What each strip would be in the trial's bottle, where the strength of that is known."""
    held = room.trials[typed.trial_ids[0]]
    if held.strength_percent is None:
        return ["Write the strength of the trial into the trial book, and what each strip stands for is reckoned here."]
    found = [of_fans.one_part(held.label, held.strength_percent)]
    for name, told in rows:
        strip = _strip(name, told)
        if strip is not None:
            parts = float(strip.parts_beside(held.strength_percent))
            found.append(of_fans.parts_words(strip.name, parts, held.label, exact(held.strength_percent)))
    return found


def _strip(name: str, told: str) -> SecondStrip | None:
    """A candidate while it stands; what is wrong with one is said where the plan is built."""
    try:
        return SecondStrip(name.strip(), typed_values.number("percent", told, "1")) if name.strip() else None
    except MouilletteError:
        return None
