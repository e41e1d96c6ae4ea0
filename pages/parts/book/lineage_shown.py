"""The trials of a brief on a conductor's screen: the lineage as a picture, and the same as a list."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

import streamlit as st
from parts import frame
from parts.book import lineage_drawn

from evaluation.deciding.lineages import Lineage, Place
from evaluation.values.trials import sentence_case, trial_name
from evaluation.wording import of_lineages

DEEPEST: Final = 5  # set in no further on the screen: every trial says which one it is from
AS_LIST: Final = "The same as a list"


def show_lineage(found: Lineage, facts: Mapping[str, str] | None = None) -> None:
    """The picture, and below it the list that a screen reader reads; ``facts`` of a trial stand in the list only."""
    st.html(lineage_drawn.picture(found))
    with st.expander(AS_LIST):
        st.markdown("\n".join(item(found, one, (facts or {}).get(one.trial_id, "")) for one in found.places))
        besides = of_lineages.beside_lines(found)
        if besides:
            st.markdown("Smelt together, not parent and child:\n" + "\n".join(f"- {frame.plain(o)}" for o in besides))


def item(found: Lineage, place: Place, facts: str = "") -> str:
    """One trial below the one it was made from, set in by how many trials lie before it."""
    seen = found.evidence
    name = frame.plain(sentence_case(trial_name(seen.label(place.trial_id))))
    origin = f", from {frame.plain(trial_name(seen.label(place.parent_id)))}" if place.parent_id else ""
    told = frame.plain(" ".join(of_lineages.list_lines(found, place.trial_id)))
    indent = "    " * min(seen.steps(place.trial_id), DEEPEST)
    small = f"  \n{indent}  :small[{frame.plain(facts)}]" if facts else ""
    return f"{indent}- **{name}**{origin}{': ' if told else ''}{told}{small}"
