"""What to smell next by its worth: who is there tonight, what the model believes, the pairs, one press for a plan."""

from __future__ import annotations

from typing import Final

import streamlit as st
from parts import frame, state

from evaluation.actions import book
from evaluation.actions.tonight import USUAL_STRIPS, next_by_worth, plan_tonight
from evaluation.deciding.top_two import MOST_STRIPS, minutes_of
from evaluation.deciding.worth import NextByWorth, Tonight
from evaluation.errors import MouilletteError
from evaluation.ground.tables_digits import percent
from evaluation.store import Notebook
from evaluation.wording import of_worth

MOST_MINUTES: Final = 600
NOBODY: Final = "Nobody is on the panel yet: whoever smells is entered there first."
HANDS: Final = (
    "Whoever dips must not smell: one nose needs another pair of hands that fill the vials by the letter key and dip "
    "by the preparation sheet. With your own hands only, telling two trials apart stays blind (2-AFC, planned alone)."
)


def propose(notebook: Notebook, brief_id: str, *, alone: bool = False) -> None:
    """The noses and strips of tonight, and the proposal; ``alone``: for one nose."""
    people = {one.id: one.alias for one in book.panelists(notebook)}
    if not people:
        st.markdown(NOBODY)
        frame.page_link("panel.py", "Open the panel")
        return
    tonight = _tonight(people, f"worth {brief_id}", alone=alone)
    try:
        found = next_by_worth(notebook, brief_id, tonight)
    except MouilletteError as error:
        st.markdown(frame.plain(frame.sentence(str(error))))
        return
    st.markdown(frame.plain(of_worth.belief_line(found)))
    st.markdown(f"**{frame.plain(of_worth.stop_line(found))}**")
    _way_on(found)
    _chances(found)
    ends = found.standing.stop or found.running is not None
    around = st.expander("Search on all the same") if ends else st.container()
    with around:
        _pairs(notebook, found)


def _way_on(found: NextByWorth) -> None:
    """Where the sentence above leads to."""
    if found.running is not None and found.running.on_bench:
        frame.page_link("bench.py", "Open the bench")
    elif found.running is not None:
        frame.page_link("series.py", "Go on with this final")
    elif found.standing.stop and found.failed is not None:
        frame.page_link("briefs.py", "Write a new trial")
    elif found.standing.stop:
        frame.page_link("series.py", "Hold a final")


def _tonight(people: dict[str, str], key: str, *, alone: bool) -> Tonight:
    left, middle, right = st.columns([2, 1, 1])
    if alone:
        one = left.selectbox("Whose nose", list(people), format_func=people.__getitem__, key=f"{key} nose")
        chosen = [] if one is None else [one]
    else:
        chosen = left.multiselect(
            "Who is there tonight",
            list(people),
            default=list(people),
            format_func=people.__getitem__,
            key=f"{key} people",
        )
    strips = middle.number_input("Strips a nose", 2, MOST_STRIPS, USUAL_STRIPS, 2, key=f"{key} strips")
    minutes = right.number_input(
        "Minutes there are",
        minutes_of(1),
        MOST_MINUTES,
        None,
        placeholder="as it takes",
        key=f"{key} minutes",
    )
    return Tonight(tuple(chosen), int(strips), None if minutes is None else int(minutes))


def _chances(found: NextByWorth) -> None:
    with st.expander("Chance of each trial to be the best, as the model sees it"):
        told = [f"- {frame.plain(one.label)}: {percent(chance)}" for one, chance in found.chances]
        st.markdown("\n".join(told))
    st.caption(of_worth.MODELS)


def _pairs(notebook: Notebook, found: NextByWorth) -> None:
    """What is smelt tonight, what it takes, and the press that plans it."""
    st.markdown("\n".join(f"- {frame.plain(of_worth.pair_line(one, found))}" for one in found.pairs))
    st.markdown(frame.plain(of_worth.takes_line(found)))
    if len(found.asked) == 1:
        st.markdown(HANDS)
    st.caption(of_worth.seed_line(found))
    if st.button("Plan these pairs", key=f"plan by worth {found.brief_id}", icon=":material/event:"):
        with frame.one_sentence():
            _plan(notebook, found)


def _plan(notebook: Notebook, found: NextByWorth) -> None:
    draft = plan_tonight(notebook, found, st.context.timezone or "UTC")
    state.choose_session(draft.id, found.brief_id)
    state.say("The pairs are in this draft: look it over, and seal it.")
    st.switch_page("plan.py")
