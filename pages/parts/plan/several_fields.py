"""Fields of plans over several trials: which trials, what is rated, pairs, an expected order, strips and people."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace
from itertools import combinations
from types import MappingProxyType
from typing import Final

import streamlit as st
from parts import frame, typed_values
from parts.book import change_told
from parts.plan import bottles_meant, several_typed, who_smells
from parts.plan.filled_from import Room
from parts.plan.typed import Typed, on_skin

from evaluation import wording
from evaluation.actions import plan as planning
from evaluation.errors import MouilletteError
from evaluation.kinds import kind_of
from evaluation.sessions import DESCRIPTOR_ORDERS, MOST_REPLICATES, TRIAL_LETTERS
from evaluation.values.descriptors import Descriptor
from evaluation.values.trials import Meant, sentence_case, trial_name

NOTES: Final = MappingProxyType(
    {
        "profile": "One strip at a time: each panelist rates what you choose below, blind, at every strip age. "
        "Differences are tested together: the fewer descriptors, the smaller the ones found.",
        "round": "Two strips at a time, pair after pair: which is liked better. Which of a pair comes first is "
        "drawn for each panelist and turned round where a pair comes again.",
        "ranking": "One strip of each trial at once: each panelist puts them in order, the best liked first. One "
        "ranking a person; to repeat, hold the session again on another day.",
    }
)
ORDERS: Final = MappingProxyType(
    {"fixed": "as listed, for everybody", "drawn": "in an order of each panelist's own, the same on every screen"}
)
ONE_MORE: Final = MappingProxyType(
    {"profile": "Strips of each trial at each age", "round": "Times each panelist smells a pair"}
)
AGAIN: Final = MappingProxyType(
    {
        "profile": "Per panelist. Two or more show how well a panelist repeats.",
        "round": "Opposite camps are told only from two on.",
    }
)


def trials(room: Room, typed: Typed) -> Typed:
    """Two to eight trials, in the order of the book, and what besides the change could be smelt among them."""
    st.subheader("Trials", anchor=False)
    fewest, most = kind_of(typed.method).trials
    known = [each for each in typed.trial_ids if each in room.trials]
    chosen = st.pills(
        f"Trials, {fewest} to {most}: tap to add or leave out",
        list(room.trials),
        selection_mode="multi",
        wrap=True,
        default=known or [one.id for one in room.trials.values() if not one.bottle_of][-fewest:],
        format_func=lambda each: frame.plain(room.trials[each].label),
        **room.keyed(f"trials {typed.method}"),
    )
    ordered = tuple(each for each in room.trials if each in chosen)
    meant = bottles_meant.ask(room, typed, ordered)
    _mismatches(room, ordered, meant or "")
    st.markdown(NOTES[typed.method])
    asked = typed.asked_pairs if ordered == typed.trial_ids else ()  # their letters are of these trials
    return replace(typed, trial_ids=ordered, asked_pairs=asked, meant=meant, solo=False, look_every=0, null_sets=0)


def _mismatches(room: Room, chosen: tuple[str, ...], meant: Meant) -> None:
    """Each thing that could be smelt besides the change, once, with the pairs it is true of; and the changes."""
    change_told.show_changes(
        room.notebook, combinations(chosen, 2), {one.id: one.label for one in room.trials.values()}
    )
    told: dict[str, list[str]] = {}
    for first, second in combinations(chosen, 2):
        for found in planning.compare(room.notebook, first, second, meant=meant):
            between = trial_name(room.trials[first].label, room.trials[second].label)
            told.setdefault(wording.mismatch(found), []).append(between)
    if told:
        lines = [
            f"- {frame.plain(f'{sentence_case(between[0])}: {said}')}{_more(between)}" for said, between in told.items()
        ]
        st.warning("\n".join(lines))


def _more(between: list[str]) -> str:
    return f" Also: {frame.plain('; '.join(between[1:]))}." if len(between) > 1 else ""


# --- what is rated ------------------------------------------------------------------------------------------------


def ratings(room: Room, typed: Typed) -> Typed:
    """Descriptors from the brief's list, strength and liking, and the order of the questions."""
    st.subheader("What is rated", anchor=False)
    listed = offered(room.descriptors, typed.descriptors or ())
    started = list(listed) if typed.descriptors is None else [each.name for each in typed.descriptors]
    names: list[str] = []
    if listed:
        names = st.pills(
            "Descriptors: tap to add or leave out",
            list(listed),
            selection_mode="multi",
            wrap=True,
            default=started,
            format_func=frame.plain,
            **room.keyed(f"descriptors {'|'.join(listed)}"),
        )
    frame.page_link("descriptors.py", "Change the list of this brief" if listed else "Write this brief's descriptors")
    left, right = st.columns(2)
    strength = left.checkbox("Ask how strong it is", typed.asks_strength, **room.keyed("strength"))
    liking = right.checkbox("Ask how much it is liked", typed.asks_liking, **room.keyed("liking"))
    order = st.radio(
        "Descriptors are asked",
        DESCRIPTOR_ORDERS,
        index=DESCRIPTOR_ORDERS.index(typed.descriptor_order),
        format_func=ORDERS.__getitem__,
        **room.keyed("descriptor order"),
    )
    rated = tuple(one for name, one in listed.items() if name in names)
    return replace(typed, descriptors=rated, asks_strength=strength, asks_liking=liking, descriptor_order=order)


def offered(listed: tuple[Descriptor, ...], kept: tuple[Descriptor, ...]) -> Mapping[str, Descriptor]:
    """The brief's list as it is now, then what a draft has from an older one."""
    now = {one.name: one for one in listed}
    return now | {one.name: one for one in kept if one.name not in now}


# --- pairs and orders ---------------------------------------------------------------------------------------------


def ties(room: Room, typed: Typed) -> Typed:
    """Whether “no preference” is an answer."""
    allowed = st.checkbox("Offer “no preference” as an answer", typed.ties_allowed, **room.keyed("ties allowed"))
    return replace(typed, ties_allowed=allowed)


def pairs_each(room: Room, typed: Typed) -> Typed:
    """A part of the pairs for each nose, where the panel is large enough for it."""
    typed = _proposed(room, typed)
    if typed.asked_pairs:
        return replace(typed, pairs_each=0)
    count, people = len(typed.trial_ids), len(typed.people)
    every = several_typed.pairs(count)
    least = several_typed.fewest_pairs(count, people)
    if count < kind_of("round").trials[0] or least >= every:
        return replace(typed, pairs_each=0)
    said = st.number_input(
        f"Pairs each panelist smells, of {every}",
        least,
        every,
        min(max(typed.pairs_each or every, least), every),
        help=f"{least} at the least, so that every pair is smelt at least twice.",
        **room.keyed(f"pairs {count} {people}"),
    )
    return replace(typed, pairs_each=0 if said == every else int(said))


def _proposed(room: Room, typed: Typed) -> Typed:
    """Pairs that were proposed by their worth, while these trials and as many people are planned."""
    if len(typed.asked_pairs) != len(typed.people):
        typed = replace(typed, asked_pairs=())
    each = len(typed.asked_pairs[0].split()) if typed.asked_pairs else 0
    if not each or not st.checkbox(
        f"Ask the proposed pairs, {each} each",
        True,
        help="Without the tick every pair is asked. Other trials, or more or fewer people, drop the proposal.",
        **room.keyed("proposed pairs"),
    ):
        return replace(typed, asked_pairs=(), asked_seed=0)
    st.caption(frame.plain(_named(room, typed)))
    return typed


def _named(room: Room, typed: Typed) -> str:
    """ "Trials 7 and 9: 4 times; trials 8 and 9: once"."""
    label = {letter: room.trials[one].label for letter, one in zip(TRIAL_LETTERS, typed.trial_ids, strict=False)}
    times = Counter(pair for own in typed.asked_pairs for pair in own.split()).most_common()
    told = (f"{trial_name(label[pair[0]], label[pair[1]])}: {_TIMES.get(n, f'{n} times')}" for pair, n in times)
    return f"{sentence_case('; '.join(told))}."


_TIMES: Final = MappingProxyType({1: "once", 2: "twice"})


def expected_order(room: Room, typed: Typed) -> Typed:
    """An order foretold, for a test towards it."""
    wanted = st.checkbox("I expect an order, and say it now", bool(typed.expected_order), **room.keyed("ordered"))
    if not wanted:
        return replace(typed, expected_order=())
    order = st.multiselect(
        "Expected order: choose all trials, from the least to the best liked",
        list(typed.trial_ids),
        default=[each for each in typed.expected_order if each in typed.trial_ids],
        format_func=lambda each: room.trials[each].label,
        help="It is sealed; the findings test towards it (Page).",
        **room.keyed(f"order {' '.join(typed.trial_ids)}"),
    )
    # nothing chosen yet is not the same as no order expected: the plan then refuses it in words
    return replace(typed, expected_order=tuple(order) or typed.trial_ids[:1])


# --- strips and people --------------------------------------------------------------------------------------------


def strips(room: Room, typed: Typed) -> Typed:
    """Own strips smelt again or fresh ones, and a warm-up strip."""
    if several_typed.may_resmell(typed, _ages(typed)):
        chosen = st.radio(
            "At later ages",
            [True, False],
            index=int(not typed.resmell),
            format_func={
                True: "everybody smells their own strips again, under the old codes",
                False: "fresh strips under new codes",
            }.__getitem__,
            help="The same strips show how one strip changes and cost fewer; a remembered code can lead the nose.",
            **room.keyed("resmell"),
        )
        typed = replace(typed, resmell=chosen)
    if on_skin(typed):
        return typed
    warm = st.checkbox("One warm-up strip first, whose ratings do not count", typed.warm_up, **room.keyed("warm-up"))
    return replace(typed, warm_up=warm)


def _ages(typed: Typed) -> int:
    try:
        return len(typed_values.strip_ages(typed.ages, typed.tolerance))
    except MouilletteError:
        return 1  # said where the whole plan is built


def panel(room: Room, typed: Typed) -> Typed:
    """Who smells, how many seats stay free, and how often."""
    st.subheader("Panel", anchor=False)
    typed = who_smells.people(room, typed)
    left, right = st.columns(2)
    typed = who_smells.spares(room, typed, left)
    asked = ONE_MORE.get(typed.method)
    if asked is None:
        return replace(typed, replicates=1)
    replicates = right.number_input(
        asked,
        1,
        MOST_REPLICATES,
        typed.replicates,
        help=AGAIN[typed.method],
        **room.keyed(f"replicates {typed.method}"),
    )
    return replace(typed, replicates=int(replicates))


def risks(room: Room, typed: Typed) -> Typed:
    """Alpha and beta; no share of people matters here."""
    st.subheader("Risks", anchor=False)
    one, two = st.columns(2)
    alpha = one.text_input("Alpha risk", typed.alpha, help=_ALPHA, **room.keyed("alpha"))
    if not kind_of(typed.method).rates:
        return replace(typed, alpha=alpha)
    beta = two.text_input("Beta risk", typed.beta, help=_BETA, **room.keyed("beta"))
    return replace(typed, alpha=alpha, beta=beta)


_ALPHA: Final = "The chance of calling anything different when chance alone is at work. 0.05 is usual."
_BETA: Final = "The chance of missing a difference of the size told beside."
