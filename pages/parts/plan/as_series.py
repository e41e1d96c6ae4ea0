"""On the plan page: let the answers of this plan add up over several sittings, and what that costs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

import streamlit as st
from parts import frame, state
from parts.plan import plain_table
from parts.plan.filled_from import Room

from evaluation.actions import series_sittings
from evaluation.planning.outlook import sets_a_sitting
from evaluation.planning.price_of_series import price_of, prices_by_method
from evaluation.series import SearchSeries, Series
from evaluation.sessions import Plan
from evaluation.wording import of_series

WHAT: Final = (
    "**A series: the answers add up.** The same two bottles at the same age, over as many sittings as it takes. You "
    "may look after each and stop when you like. It is sealed before the first sitting; sittings of before never count."
)
OFFER: Final = "Or seal it as a series: its answers add up over several sittings"
OPEN_PANEL: Final = "Nobody is named: only people who have not smelt this series yet, each once"


def can_add_up(plan: Plan) -> bool:
    """Whether answers of such a plan can add up: one pair, one medium, one strip age."""
    return (plan.kind.judged or plan.kind.votes) and len(plan.ages) == 1 and len(plan.media) == 1 and not plan.series_id


def offer(room: Room, plan: Plan) -> None:
    """What it is, its price, which is the better buy, and the seal; only where the plan could be one."""
    if not can_add_up(plan):
        return
    part = st.expander(OFFER, key=f"{room.key} as series", on_change="rerun")
    if part.open:  # its price is worked out over hundreds of looks, and most plans are sessions by themselves
        with part:
            _offered(room, plan)


def _offered(room: Room, plan: Plan) -> None:
    st.markdown(WHAT)
    sets = 1 if plan.kind.votes else max(1, sets_a_sitting(plan.method))
    told = [*_by_method(plan), *of_series.price_words(price_of(plan), plan.people, sets, float(plan.beta))]
    st.markdown(plain_table.unbroken("\n".join(f"- {frame.plain(one)}" for one in told)))
    open_panel = st.checkbox(OPEN_PANEL, key=f"{room.key} open panel")
    makers = _makers(room, plan)
    st.caption(of_series.ROUNDS)
    if st.button("Seal as a series", key="seal series"):
        with frame.one_sentence():
            of_sittings = _of_sittings(plan, open_panel=open_panel)
            series = Series(plan=of_sittings, design=SearchSeries(), open_panel=open_panel, makers=makers)
            sealed = series_sittings.seal_series(room.notebook, series)
            state.say(f"The series “{sealed.plan.title}” is sealed: seal its first sitting now.")
            st.switch_page("series.py")


def _by_method(plan: Plan) -> Iterator[str]:
    """Where the size is said, what other methods take: most hangs on that."""
    if plan.size is not None:
        yield of_series.method_words(prices_by_method(plan.size, float(plan.alpha), float(plan.beta)))


def _makers(room: Room, plan: Plan) -> tuple[str, ...]:
    named = [seat.panelist_id for seat in plan.seats if seat.panelist_id in room.people]
    chosen = st.multiselect(
        "Who of them made these trials or knows the formulas",
        named,
        format_func=lambda each: room.people[each or ""].alias,
        key=f"{room.key} makers",
    )
    return tuple(one for one in chosen if one is not None)


def _of_sittings(plan: Plan, *, open_panel: bool) -> Plan:
    """The plan its sittings keep to: no spare seats, no looks within a sitting, no null sets."""
    seats = tuple(one for one in plan.seats if one.panelist_id is not None)
    bare = replace(plan, seats=seats, confirmed=())
    changes = {} if plan.kind.votes else {"look_every": 0, "null_sets": 0, "sureness_weights": ()}
    return bare.changed(**changes, replicates=1 if open_panel else plan.replicates)
