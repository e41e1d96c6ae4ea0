"""Which difference between bottles of one trial a plan means: asked where two of them are chosen."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import streamlit as st
from parts.plan.filled_from import Room
from parts.plan.typed import Typed

from evaluation.values.trials import Meant, of_one_trial
from evaluation.wording.of_bottles import MEANT_WORDS, OF_BOTTLES


def ask(room: Room, typed: Typed, chosen: Sequence[str | None]) -> Meant | None:
    """The difference meant; "" where no two bottles of one trial are chosen, None where it was not said yet."""
    smelt = [room.trials[one] for one in dict.fromkeys(chosen) if one is not None and one in room.trials]
    if not any(of_one_trial(*pair) for pair in combinations(smelt, 2)):
        return ""
    offered = list(MEANT_WORDS)
    meant = st.radio(
        "Which difference between the bottles of one trial is meant?",
        offered,
        index=offered.index(typed.meant) if typed.meant else None,
        format_func=MEANT_WORDS.__getitem__,
        help="It is sealed and never warned of; every other difference between the bottles is.",
        **room.keyed("difference meant"),
    )
    st.caption(OF_BOTTLES)
    return meant
