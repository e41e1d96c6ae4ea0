"""What was changed between trials, wherever two of them meet on a conductor's screen."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import combinations

import streamlit as st
from parts import frame

from evaluation.actions import formulas
from evaluation.actions import plan as planning
from evaluation.formulas import Difference
from evaluation.sessions import Plan
from evaluation.store import Notebook
from evaluation.values.trials import Meant, sentence_case, trial_name
from evaluation.wording import mismatch, of_formulas


def show_change(notebook: Notebook, first: tuple[str, str], second: tuple[str, str]) -> None:
    """The change from one trial to another, each as id and label; that it is not known is said as well."""
    found = formulas.between(notebook, first[0], second[0])
    if found is None:
        st.caption(of_formulas.NO_FORMULA)
    else:
        st.markdown(_lines(found, first[1], second[1]))


def show_changes(notebook: Notebook, pairs: Iterable[tuple[str, str]], labels: Mapping[str, str]) -> None:
    """The changes between the trials of each pair, folded away; nothing where no two formulas are known."""
    found = formulas.between_all(notebook, pairs)
    if not found:
        return
    with st.expander("What was changed"):
        for (first, second), one in found.items():
            st.markdown(_lines(one, labels[first], labels[second]))
        st.caption("Formulas stay on your screens: no ballot tells them, a report or export only where you tick it.")


def show_changes_of(notebook: Notebook, plan: Plan, names: Sequence[str]) -> None:
    """The changes between every two trials of a session, which ``names`` tells in the order of the plan."""
    labels = dict(zip(plan.trial_ids, names, strict=False))  # a fan has more names than trials, and no two to compare
    show_changes(notebook, combinations(plan.trial_ids, 2), labels)


def _lines(found: Difference, first: str, second: str) -> str:
    names = trial_name(first), trial_name(second)
    head = f"**{frame.plain(sentence_case(names[0]))} → {frame.plain(names[1])}: {of_formulas.counted(found)}**"
    told = [*of_formulas.change_lines(found), of_formulas.scale_words(found, *names)]
    return "\n".join([head, "", *(f"- {frame.plain(one)}" for one in told if one)])


def show_unlike(notebook: Notebook, first: str, second: str, meant: Meant = "") -> None:
    """In what else than is asked two bottles differ today, or what is not known of both: it can be smelt as well."""
    found = planning.compare(notebook, first, second, meant=meant)
    if found:
        st.warning("\n".join(f"- {frame.plain(mismatch(each))}" for each in found))
