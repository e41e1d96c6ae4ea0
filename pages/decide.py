"""Decision: the trials of a brief as a lineage, what every opened session said, a proposal, and what was decided."""

from __future__ import annotations

import streamlit as st
from parts import frame, house
from parts.book import change_told, lineage_shown, pickers, pinned_on
from parts.decide import by_worth, evidence_shown, taught_shown, worn_first, written_down
from parts.findings import report_links

from evaluation.actions import book, decide, descent
from evaluation.actions.decide import Outcome, Record
from evaluation.deciding import proposals
from evaluation.store import Notebook
from evaluation.wording import of_decisions, of_next_smellings, of_taught


def show_decision_page(notebook: Notebook) -> None:
    """The whole page; before a brief has a trial, only the way to one."""
    frame.page("Decision", "Which trial to keep: what was smelt, where it points, and what you decide.")
    chosen = pickers.brief(notebook)
    if chosen is None:
        frame.empty("A decision belongs to a brief. Begin with the trial book.", "briefs.py", "Open the trial book")
        return
    trials = book.trials(notebook, chosen.id)
    if not trials:
        frame.empty("This brief has no trial yet.", "briefs.py", "Add its first trial")
        return
    found, record = decide.outcome(notebook, chosen.id), decide.record(notebook, chosen.id)
    _proposal(found, record)
    if found.proposal.rule == proposals.KEPT:
        worn_first.ask(notebook, found.proposal.trial_id)
    st.header("Trials", anchor=False)
    lineage_shown.show_lineage(descent.lineage(notebook, found.evidence, found.proposal, record))
    st.header("What was opened", anchor=False)
    evidence_shown.show_evidence(found.evidence, pinned_on.beside_session(notebook, found.evidence))
    labels = {one.id: one.label for one in trials}
    change_told.show_changes(notebook, evidence_shown.smelt_together(found.evidence), labels)
    st.header(of_taught.TITLE, anchor=False)
    taught_shown.show_taught(notebook, found.evidence)
    st.header("What to smell next", anchor=False)
    _by_worth(notebook, chosen.id, len(trials))
    _next(found)
    st.header("Decide", anchor=False)
    written_down.form(notebook, chosen.id, trials, record)
    st.header("On record", anchor=False)
    written_down.listed(record)
    with st.expander("Files"):
        st.html(f"<ul>{report_links.ticked_links(chosen.id, report_links.BRIEF_FILES)}</ul>")


def _proposal(found: Outcome, record: Record) -> None:
    """What was decided on all of this, where somebody has; else the proposal, and at once what would change it."""
    answers = decide.answered(found, record)
    if answers:
        st.subheader("Decided", anchor=False)
        for one in answers:
            st.markdown(f"**{frame.plain(written_down.title(one, found.evidence))}**")
            frame.quote(one.reason)
    st.subheader("What the evidence alone proposes" if answers else "Proposal", anchor=False)
    told = frame.plain(of_decisions.headline(found.proposal, found.evidence))
    st.markdown(told if answers else f"**{told}**")
    lead = of_decisions.lead_line(found.proposal)
    if lead:
        st.markdown(lead)
        frame.page_link("series.py", "Seal a final of it")
    for told in of_decisions.final_lines(found.proposal):
        st.markdown(frame.plain(told))
    for told in of_decisions.beside(found.proposal, found.evidence):
        st.markdown(frame.plain(told))
    changes = of_decisions.would_change(found.proposal, found.evidence)
    st.markdown("What would change it:\n" + "\n".join(f"- {frame.plain(one)}" for one in changes))


def _by_worth(notebook: Notebook, brief_id: str, trials: int) -> None:
    """A search among several trials; of one trial there is none."""
    if trials > 1:
        st.subheader("To find the best one: pairs for tonight", anchor=False)
        st.fragment(by_worth.propose)(notebook, brief_id)  # other noses or strips draw nothing else anew


def _next(found: Outcome) -> None:
    st.subheader("To settle what was opened", anchor=False)
    if not found.next:
        st.markdown("Nothing stands out that a further comparison would settle.")
    for one in found.next:
        title, why, takes = of_next_smellings.next_words(one, found.evidence)
        st.markdown(f"**{frame.plain(title)}**  \n{frame.plain(why)} {frame.plain(takes)}")
    for told in of_next_smellings.more_than_can_be_smelt(found.next):
        st.markdown(frame.plain(told))
    if found.next:
        frame.page_link("plan.py", "Plan a session or a series")


show_decision_page(house.current().notebook)
