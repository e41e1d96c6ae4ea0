"""The options of the plan form: alone, looks while the session goes on, null sets, and the second opinion."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType
from typing import Final

import streamlit as st
from parts import frame, typed_values
from parts.plan import filled_form
from parts.plan.filled_from import Room
from parts.plan.typed import Typed, on_skin
from parts.solo import hands

from evaluation.errors import MouilletteError
from evaluation.kinds import kind_of
from evaluation.planning.outlook import sets_a_sitting
from evaluation.sessions import CLIPS, MOST_NULL_SETS, MOST_REPLICATES, PRIORS, VIALS, Preparation

ALONE: Final = "I prepare and smell alone"
ALONE_NOTE: Final = (
    "Your shuffle is the draw: orders are random, not balanced, and the blinding rests on your word. The findings say "
    "both. Marks stay covered until the sets are answered and put away. After sealing, the page “Alone” leads on."
)
SOLO_SETS: Final = 12  # what the form begins with alone: three sittings of triangles, whole pairs
LOOKS: Final = "Look in between and stop early"
LOOKS_NOTE: Final = (
    "Only the bench hears of it, never the panel: go on, or stop. Nobody may look at the score in between, else the "
    "risks do not hold."
)
LOOKS_ALONE: Final = "You hear only whether to go on, after each sitting and its marks."
NULLS: Final = "Null sets per nose"
NULLS_NOTE: Final = (
    "In a null set one trial is served as if it were two, from two vials. Nobody can be right there but by chance, or "
    "by a leak in the preparation: colour, dose, age or wet length. They are scored beside the real sets, never in "
    "them, and a quiet one does not clear the preparation."
)
NULLS_ALONE: Final = (
    "A null set is made from one trial in the place of both, mixed with the others so that you do not know which it "
    "is. Alone a leak is likeliest: sight, touch, wetness, or what you remember from dipping. Nobody can be right "
    "there but by chance or by a leak; they are scored beside the real sets, never in them."
)
PREPARING: Final = "How do you make the strips blind?"
WAYS: Final[tuple[Preparation, ...]] = (VIALS, CLIPS)
PRIOR_NAMES: Final = MappingProxyType(
    {
        "sceptical": "Sceptical: a change that few notice is likelier",
        "flat": "Flat: every share of people who notice is as likely as another",
        "hopeful": "Hopeful: a change that most notice is likelier",
    }
)
PRIOR_NOTE: Final = (
    "Beside the verdict the findings show how probable a change that matters is, given what you believed before. Say "
    "it now; it is sealed. It never makes the verdict, and the findings show what the other two beliefs would give."
)


def alone(room: Room, typed: Typed) -> Typed:
    """Whether one person does everything; not for preferences, which nobody is blind to alone."""
    if typed.plain_difference:
        return replace(typed, solo=False)
    said = st.checkbox(ALONE, typed.solo, **room.keyed("alone"))
    if said:
        st.caption(ALONE_NOTE)
    return replace(typed, solo=said)


def one_person(room: Room, typed: Typed) -> Typed:
    """Who is alone, and how many sets they smell at each age."""
    listed = list(room.people)
    wanted = next((each for each in typed.people if each in room.people), None)
    left, right = st.columns(2)
    who = left.selectbox(
        "Who are you?",
        listed,
        index=listed.index(wanted) if wanted is not None else None,
        format_func=lambda each: room.people[each].alias if each in room.people else "",
        placeholder="Choose",
        **room.keyed("alone who"),
    )
    if not listed:
        frame.page_link("panel.py", "Nobody is on the panel yet: add yourself there")
    pairs = kind_of(typed.method).mixed
    sets = right.number_input(
        "Sets at each age",
        2 if pairs else 1,
        MOST_REPLICATES,
        typed.replicates if typed.replicates > 1 else SOLO_SETS,
        step=2 if pairs else 1,
        help=f"A sitting is {sets_a_sitting(typed.method)} sets."
        + (" Triangles come in pairs, one of either kind, so their number is even." if pairs else ""),
        **room.keyed(f"alone sets {pairs}"),
    )
    return replace(typed, people=() if who is None else (who,), spares=0, replicates=int(sets))


def preparing(room: Room, typed: Typed) -> Typed:
    """How strips are blinded alone."""
    try:
        offered = filled_form.offered_preparation(typed_values.strip_ages(typed.ages, typed.tolerance))
    except MouilletteError:
        offered = VIALS  # said where the whole plan is built
    # a draft keeps its own way; a new plan is offered the one its strip ages leave room for
    name = "preparing" if typed.preparation else f"preparing {offered}"
    said = st.radio(
        PREPARING,
        WAYS,
        index=WAYS.index(typed.preparation or offered),
        format_func=hands.WAY_NAMES.__getitem__,
        captions=[hands.WAY_NOTES[each] for each in WAYS],
        **room.keyed(name),
    )
    return replace(typed, preparation=said)


def looks(room: Room, typed: Typed) -> Typed:
    """After how many answers the bench looks; only with one strip age and a forced choice."""
    if typed.plain_difference or on_skin(typed) or not _one_age(typed):
        return replace(typed, look_every=0)
    st.subheader("Stopping early", anchor=False)
    wanted = st.checkbox(LOOKS, typed.look_every > 0, **room.keyed("looks"))
    if not wanted:
        return replace(typed, look_every=0)
    choices = filled_form.look_choices(len(typed.people), typed.replicates, typed.solo, typed.method)
    st.caption(LOOKS_ALONE if typed.solo else LOOKS_NOTE)
    if not choices:
        st.warning(_no_looks(typed))
        return replace(typed, look_every=0)
    asked = len(typed.people) * typed.replicates
    every = st.selectbox(
        "Answers from look to look",
        choices,
        index=choices.index(typed.look_every) if typed.look_every in choices else 0,
        format_func=lambda each: f"{each}: {asked // each} looks, the last after all {asked} answers",
        key=f"{room.key} look every {typed.solo} {typed.method} {len(typed.people)} {typed.replicates}",
        persist_state="session",
    )
    return replace(typed, look_every=int(every))


def _one_age(typed: Typed) -> bool:
    try:
        return len(typed_values.strip_ages(typed.ages, typed.tolerance)) == 1
    except MouilletteError:
        return False  # said where the whole plan is built


def _no_looks(typed: Typed) -> str:
    if typed.solo:
        size = sets_a_sitting(typed.method)
        return f"Looks need at least two whole sittings: plan a multiple of {size} sets, {2 * size} or more."
    return "Looks need at least two rounds of answers: plan more people or more sets per person."


def null_sets(room: Room, typed: Typed) -> Typed:
    """How many sets of each nose are null; offered while they leave every nose within a sitting."""
    if typed.plain_difference or on_skin(typed):
        return replace(typed, null_sets=0)
    offered = _offered(typed) if typed.null_sets is None else typed.null_sets
    # a draft keeps its own number; a new plan is offered one, or none, whenever what it can afford changes
    name = f"null sets {offered}" if typed.null_sets is None else "null sets"
    wanted = st.number_input(NULLS, 0, MOST_NULL_SETS, offered, **room.keyed(name))
    st.caption(_nulls_alone(typed) if typed.solo else NULLS_NOTE)
    return replace(typed, null_sets=int(wanted))


def _nulls_alone(typed: Typed) -> str:
    """From how many on they can warn at all."""
    fewest = filled_form.fewest_null_sets(typed)
    told = f"From {fewest} on they can warn." if fewest else f"With {MOST_NULL_SETS} or fewer they cannot warn."
    return f"{NULLS_ALONE} {told}"


def _offered(typed: Typed) -> int:
    try:
        ages = len(typed_values.strip_ages(typed.ages, typed.tolerance))
    except MouilletteError:
        return 0  # said where the whole plan is built
    return filled_form.offered_null_sets(typed, ages)


def prior(room: Room, typed: Typed) -> Typed:
    """What is believed before, for the second opinion."""
    if typed.plain_difference:
        return typed
    with st.expander("Second opinion"):
        st.markdown(PRIOR_NOTE)
        said = st.radio(
            "What do you believe before anybody smells?",
            PRIORS,
            index=PRIORS.index(typed.prior),
            format_func=PRIOR_NAMES.__getitem__,
            **room.keyed("prior"),
        )
    return replace(typed, prior=said)
