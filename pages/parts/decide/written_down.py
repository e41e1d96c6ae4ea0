"""Writing a decision, and the record: nothing in it is ever changed, later decisions take the place of earlier ones."""

from __future__ import annotations

from typing import Final

import streamlit as st
from parts import frame, state
from parts.decide import evidence_shown

from evaluation.actions import decide
from evaluation.actions.decide import Record
from evaluation.deciding.evidence import Evidence
from evaluation.errors import ArgumentError
from evaluation.store import Notebook
from evaluation.values.decisions import WORDS, Decision
from evaluation.values.trials import Trial, trial_name
from evaluation.wording.of_decisions import word_name

_NONE: Final = ""


def form(notebook: Notebook, brief_id: str, trials: tuple[Trial, ...], record: Record) -> None:
    """Word, trial and reason; nothing is chosen beforehand, the proposal least."""
    names = {one.id: one.label for one in trials}
    with st.form(state.form_key(f"decide {brief_id}"), border=False):
        word = st.radio("Decision", WORDS, index=None, format_func=word_name, horizontal=True)
        trial_id = st.selectbox("Trial", list(names), index=None, format_func=names.__getitem__)
        reason = st.text_area("Reason", max_chars=2000, help="Required. It stays on record and names no panelist.")
        taken = _superseded(record, names)
        st.caption("The evidence above is written down with it, as it stands now. A decision cannot be edited.")
        if st.form_submit_button("Write decision"):
            with frame.one_sentence():
                _write(notebook, brief_id, (trial_id, word, reason, taken))
                state.clear_form(f"decide {brief_id}")
                state.say("The decision is on record.")
                st.rerun()


def _superseded(record: Record, names: dict[str, str]) -> str | None:
    standing = {one.id: one for one in record.standing}
    if not standing:
        return None
    shown = {_NONE: "None", **{key: _title(one, names.get(one.trial_id, "")) for key, one in standing.items()}}
    picked = st.selectbox("Takes the place of", list(shown), format_func=shown.__getitem__)
    return picked or None


Typed = tuple[str | None, str | None, str, str | None]


def _write(notebook: Notebook, brief_id: str, typed: Typed) -> None:
    trial_id, word, reason, taken = typed
    if word is None or trial_id is None:
        raise ArgumentError("choose a decision and the trial it is about.")
    decide.decide(notebook, brief_id, trial_id, word, reason, taken)


def listed(record: Record) -> None:
    """Newest first, each with the evidence it froze."""
    if not record.decisions:
        st.markdown("Nothing decided yet.")
        return
    if not record.holds:
        st.error("This record no longer holds: a decision was altered or removed outside the program.")
    for one in reversed(record.decisions):
        _show_decision(one, record)


def _show_decision(decision: Decision, record: Record) -> None:
    seen = decide.as_it_stood(decision)
    shown = title(decision, seen)
    later = next((one.number for one in record.decisions if one.supersedes == decision.id), None)
    head = f"~~{frame.plain(shown)}~~ superseded by {later}" if later else f"**{frame.plain(shown)}**"
    st.markdown(f"{head}  \n:small[{frame.plain(evidence_shown.local_day(decision.at))}]")
    frame.quote(decision.reason)
    with st.expander(f"Evidence as it stood for decision {decision.number}"):
        evidence_shown.show_evidence(seen)
        st.caption(f"Hash of this decision: {decision.hash}")


def title(decision: Decision, seen: Evidence) -> str:
    """Number, word and trial of a decision, the word as it was stored."""
    return _title(decision, seen.label(decision.trial_id))


def _title(decision: Decision, label: str) -> str:
    return f"{decision.number}. {word_name(decision.word)} {trial_name(label) if label else ''}"
