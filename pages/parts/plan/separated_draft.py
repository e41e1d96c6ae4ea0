"""The plan form of a draft whose bottles separate changes: who smells and when; what is mixed stays as written."""

from __future__ import annotations

from typing import Final

import streamlit as st
from parts import frame, typed_values
from parts.plan import exact_list, filled_form, lines_told, who_smells
from parts.plan.filled_from import Room

from evaluation.actions import separating
from evaluation.errors import MouilletteError
from evaluation.sessions import Plan
from evaluation.wording import of_separations

MIXED: Final = (
    "Base, changes and bottles were decided on the page Separate changes. To mix others, remove this draft and begin "
    "there again; the trials written for it stay in the trial book."
)
UNWRITTEN: Final = (
    "Of some bottles the day they were mixed, the day they were diluted or the strength is not written down. Write it "
    "on the page Separate changes before you seal: afterwards it cannot be written any more."
)


def ask(room: Room, draft: Plan) -> tuple[Plan | None, str]:
    """The plan as it stands with what was typed, or the sentence that says why there is none yet."""
    shown = filled_form.typed_of(draft)
    title = st.text_input("Title", shown.title, max_chars=120, **room.keyed("title"))
    typed = who_smells.people(room, shown)
    left, right = st.columns(2)
    ages = left.text_input("Strip ages, minutes", shown.ages, **room.keyed("ages"))
    tolerance = right.text_input("Tolerance, % of the age", shown.tolerance, **room.keyed("tolerance"))
    typed = who_smells.spares(room, typed, left)
    try:
        when = typed_values.strip_ages(ages, tolerance)
        plan = draft.changed(
            title=title.strip(),
            ages=when,
            primary=when[0].seconds if len(when) == 1 else None,
            seats=filled_form.seats(typed.people, typed.spares),
            resmell=draft.design.resmell and len(when) > 1,
        )
    except MouilletteError as refused:
        return None, str(refused)
    for one in separating.unlike(room.notebook, plan):
        st.warning(frame.plain(of_separations.unlike_line(one.line, one.bottles, one.of)))
    if separating.unwritten(room.notebook, plan):
        st.warning(UNWRITTEN)
    labels = {each.id: each.label for each in room.trials.values()}
    aliases = {each.id: each.alias for each in room.people.values()}
    st.subheader("What is planned", anchor=False)
    exact_list.show_lines(lines_told.summary(plan, labels, aliases), plan.design.separation)
    st.caption(MIXED)
    frame.page_link("separate.py", "Separate changes: weighing sheet of these bottles")
    return plan, ""
