"""Findings: how old the strips really were, as far as somebody tapped when they were dipped."""

from __future__ import annotations

import streamlit as st
from parts import frame, small_tables, typed_values
from parts.house import House

from evaluation.actions import ages
from evaluation.actions.ages import AgesFound, TrialAges
from evaluation.serving.dipping import span
from evaluation.sessions import SKIN, Medium, Session

RULE = (
    "Real age: from the middle of the dip to the tap that began the set, on the server’s clock: its first strip was "
    "smelt then, the others in the minutes after. Where no tap told that, it is the age at the first answer; smelling "
    "began a little before, and such a set counts as early or late only where it was so even then."
)
ASKED_FOR = (
    "Nobody tapped when anything was dipped or applied: the ages above are those asked for, and how old it really was "
    "when smelt is not known."
)
NOBODY = "Of {unknown} sets nobody tapped when they were dipped: how old their strips were is not known."


def warn(here: House, session: Session) -> None:
    """What changes how the verdict is read stands beside it."""
    found = ages.real_ages(here.notebook, session.id)
    for one in found.trials if found else ():
        if one.differs:
            st.warning(frame.plain(_warning(one)))


def show_real_ages(here: House, session: Session) -> None:
    """The table of real ages; where nobody tapped a dip, that the ages told are those asked for."""
    found = ages.real_ages(here.notebook, session.id)
    if found is None:
        st.caption(ASKED_FOR)
        return
    with st.expander("How old the strips really were"):
        if found.sets:
            _tables(found)
        st.markdown(counted(found))


def _warning(one: TrialAges) -> str:
    told = ", ".join(f"trial {label} at {span(mean // 1000)}" for label, mean in one.means)
    return (
        f"The trials were not smelt at the same age ({_when(one.medium, one.planned)}): {told} on average. What was "
        "found there may be the age."
    )


def _when(medium: Medium, planned: int) -> str:
    return f"{'on skin, ' if medium == SKIN else ''}planned {typed_values.age_name(planned)}"


def _tables(found: AgesFound) -> None:
    st.caption(RULE)
    small_tables.table(
        ("Planned", "Mean real age of each trial"),
        [
            (
                _when(one.medium, one.planned).removeprefix("planned "),
                ", ".join(f"{label}: {span(mean // 1000)}" for label, mean in one.means),
            )
            for one in found.trials
        ],
    )
    ordered = sorted(found.sets, key=lambda one: (one.medium, one.planned, one.panelist))
    small_tables.table(
        ("Person", "Planned", "Real", ""),
        [
            (
                one.panelist,
                f"{span(one.planned)} ± {span(one.tolerance)}",
                span(one.real // 1000),
                one.word,
            )
            for one in ordered
        ],
    )


def counted(found: AgesFound) -> str:
    """How many sets were early or late, before how many of them the ballot asked, and of how many nobody knows."""
    if not found.sets:
        return NOBODY.format(unknown=found.unknown)
    judged = f"Of {len(found.sets)} sets {found.early} were smelt early and {found.late} late, by the sealed tolerance."
    asked = f" Before {found.asked} of these the ballot asked back." if found.asked else ""
    unknown = f" Of {found.unknown} more nobody told when they were dipped, or on paper smelt." if found.unknown else ""
    return judged + asked + unknown
