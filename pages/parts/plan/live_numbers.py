"""The live numbers of a plan: short sentences, and one small table of better designs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import streamlit as st
from parts import frame
from parts.plan import lines_told, other_designs, plain_table, several_numbers

from evaluation.actions.plan import foreseen
from evaluation.planning.outlook import STRIPS_A_SITTING, Outlook, outlook_of
from evaluation.sessions import Plan
from evaluation.wording import of_sizes
from evaluation.wording.of_prospects import cannot_line

KEY: Final = "live-numbers"  # of the container they stand in
# Beside the form the numbers stay where they are while one scrolls; on a phone they follow the form.
_STYLE: Final = f"""<style>
@media (min-width: 640px) {{
  [data-testid="stColumn"]:has(.st-key-{KEY}) {{
    position: sticky; top: 3.25rem; align-self: flex-start;}}
  .st-key-{KEY} {{max-height: calc(100vh - 4.25rem); overflow-y: auto;}}
}}
.st-key-{KEY} p, .st-key-{KEY} li {{font-size: .925rem; line-height: 1.4;}}
.st-key-{KEY} table {{font-size: .875rem; width: 100%;}}
.st-key-{KEY} th, .st-key-{KEY} td {{padding: .25rem .5rem !important;}}
.st-key-{KEY} li {{margin: .15rem 0 .15rem 1rem !important;}}
</style>"""


def keep_in_sight() -> None:
    """The style of the numbers beside the form."""
    st.html(_STYLE)


def waiting(problem: str) -> None:
    """What is missing before there are numbers."""
    _title()
    st.warning(frame.plain(frame.sentence(problem)))
    st.markdown("The numbers appear as soon as the plan stands.")


def show_live_numbers(plan: Plan, *, settled: bool = False) -> None:
    """Everything this plan can find and asks for; better designs only while it can still be changed."""
    _title()
    if plan.kind.several:
        several_numbers.show_prospect(plan)
    else:
        _of_two(outlook_of(plan), plan, settled=settled)


def _of_two(outlook: Outlook, plan: Plan, *, settled: bool) -> None:
    said = lines_told.lines(outlook)
    if outlook.minimum_correct is None:
        st.error(plain_table.unbroken(said.first))
    else:
        st.markdown(f"**{plain_table.unbroken(said.first)}**")
    st.markdown(
        plain_table.unbroken(
            _listed((*_size(outlook, plan), *said.rest, lines_told.work(plan), f"{lines_told.set_takes(plan)}."))
        )
    )
    if said.cannot:
        st.warning(plain_table.unbroken("  \n".join(said.cannot)))
    if not settled:
        _better(outlook, plan)
        other_designs.show_other_designs(outlook)


def _size(outlook: Outlook, plan: Plan) -> tuple[str, ...]:
    """What matters, and what a *not noticed* at that size takes."""
    if plan.kind.votes:
        return ()
    return (of_sizes.size_line(plan), *of_sizes.not_noticed_lines(plan, outlook))


def to_confirm(plan: Plan) -> tuple[str, ...]:
    """Verdict words that cannot occur and must be confirmed before sealing."""
    return foreseen(plan).to_confirm


def confirmation(plan: Plan, verdict: str) -> str:
    """What is ticked about a verdict that cannot occur."""
    if plan.kind.several:
        return cannot_line(verdict)
    return f"I know that this session can never end in “{verdict}”, whatever is answered."


def _title() -> None:
    st.subheader("What this panel can find", anchor=False)


def _better(outlook: Outlook, plan: Plan) -> None:
    rows = lines_told.better(outlook)
    if rows:
        st.markdown(f"**{lines_told.BETTER_LEAD}**")
        plain_table.draw_table(("Design", "pd there", "Power", "Strips a nose"), rows)
        if any(each.method != outlook.method for each in outlook.better):
            st.caption(_ANOTHER[plan.size is None])
        if any(each.strips_per_nose > STRIPS_A_SITTING for each in outlook.better):
            st.caption(f"More than {STRIPS_A_SITTING} strips a nose take more than one sitting.")


_ANOTHER: Final = (
    "The size stays when you change the method: its pd there is worked out for you.",
    "Another method shows the same difference to another share of people: set pd to it when you change.",
)


def _listed(sentences: Sequence[str]) -> str:
    return "\n".join(f"- {each}" for each in sentences)
