"""On the page Skin: what each person was asked, with consent; the answers can be forgotten at any time."""

from __future__ import annotations

from collections.abc import Sequence
from types import MappingProxyType
from typing import Final

import streamlit as st
from parts import frame, state
from parts.skin.on_skin import zone

from evaluation.actions import skin
from evaluation.errors import ArgumentError
from evaluation.serving import cautions
from evaluation.skin import EXCLUSIONS, FACTS_DAYS, SkinFacts, moment
from evaluation.store import Notebook
from evaluation.values.people import Panelist

PRIVACY: Final = (
    "These are answers about health. Ask only whom you want on skin, in private, and say that they are kept here until "
    f"forgotten. They hold {FACTS_DAYS} days, then ask again. Session logs hold that somebody was asked, never what "
    "was said. That somebody’s skin reacted, and to which materials, protects them: it stays until they are erased on "
    "the page Panel."
)
CONSENT: Final = (
    "Consents: knows what is put on, how strong, the known allergens and the risk of a reaction; may stop at any "
    "moment without a reason"
)
QUESTIONS: Final = MappingProxyType(
    {"consent": CONSENT} | {name: words[:1].upper() + words[1:] for name, words in EXCLUSIONS.items()}
)
ANSWERS: Final = ("Yes", "No")


def ask_people(notebook: Notebook, people: Sequence[Panelist]) -> None:
    """Who was asked, then one person's questions; nothing is answered beforehand."""
    st.info(PRIVACY)
    st.caption(f"{cautions.SKIN_RULE} {cautions.ASK_ON_THE_DAY} On strips: {cautions.STRIPS_RULE}")
    if not people:
        frame.empty("Nobody is on the panel yet.", "panel.py", "Add people")
        return
    facts = skin.facts(notebook, [one.id for one in people])
    st.markdown("\n".join(f"- {frame.plain(_said(one, facts.get(one.id)))}" for one in people))
    aliases = {one.id: one.alias for one in people}
    who = st.selectbox("Person to ask", list(aliases), index=None, format_func=aliases.__getitem__, key="asked")
    if who is None:
        return
    _ask(notebook, who, aliases[who])
    if who in facts:
        _forget(notebook, who, aliases[who])


def _said(person: Panelist, facts: SkinFacts | None) -> str:
    if facts is None:
        return f"{person.alias}: not asked about skin."
    on = moment(facts.at, zone())
    if not facts.consent:
        return f"{person.alias}: asked on {on}, does not consent."
    kept_off = f"stays off skin: {'; '.join(facts.excluding)}" if facts.excluding else "nothing keeps them off skin"
    return f"{person.alias}: asked on {on}, consents, {kept_off}."


def _ask(notebook: Notebook, who: str, alias: str) -> None:
    name = state.form_key(f"facts {who}")
    with st.form(name, border=False):
        given = {
            fact: st.radio(asked, ANSWERS, index=None, horizontal=True, key=f"{name} {fact}")
            for fact, asked in QUESTIONS.items()
        }
        if st.form_submit_button("Write down"):
            with frame.one_sentence():
                missing = sum(answer is None for answer in given.values())
                if missing:
                    raise ArgumentError(f"every question must be answered; {missing} still {_wait(missing)}.")
                skin.record_facts(notebook, who, **{fact: answer == ANSWERS[0] for fact, answer in given.items()})
                state.clear_form(f"facts {who}")
                state.say(f"What {alias} said is written down.")
                st.rerun()


def _wait(missing: int) -> str:
    return "waits" if missing == 1 else "wait"


def _forget(notebook: Notebook, who: str, alias: str) -> None:
    with st.popover(f"Forget what {alias} said"):
        st.markdown(
            "The answers and patch tests of this person are deleted, and what lifted a reaction; that they reacted, "
            "and to what, stays. This cannot be taken back."
        )
        if st.button("Forget it", key=f"forget {who}"):
            with frame.one_sentence():
                skin.forget(notebook, who)
                state.say(f"What {alias} said about skin is forgotten.")
                st.rerun()
