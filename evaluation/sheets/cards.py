"""Paper ballots: one card for one panelist and one set, with the questions of the ballot on the phone. Codes only."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Final

from evaluation import wording
from evaluation.actions import paper_reading
from evaluation.actions.paper import Card
from evaluation.serving import smelling
from evaluation.serving.asking import RATE, YES_NO, rated
from evaluation.sessions import SKIN, Plan, Question
from evaluation.sheets import words
from evaluation.sheets.pieces import BallotCard, Cards, Head, Item, Option
from evaluation.sheets.stocks import A4, Paper
from evaluation.values.descriptors import Descriptor
from evaluation.values.scales import Scale, scale_of

AT_THE_END: Final = "After the last set"
RATING_LEAD: Final = (
    "Mark each line with a short upright stroke, or cross one box. The left end means that it is not there. “Not "
    "smelt”: you could not judge it."
)
ORDER_LEAD: Final = "Write each code into one box. No two codes share a place: if you cannot tell, guess."


def ballot_cards(
    head: Head,
    plan: Plan,
    cards: Sequence[Card],
    *,
    brief_text: str = "",
    times: Mapping[str, str] | None = None,
    paper: Paper = A4,
) -> Cards:
    """Cards still to be filled in; those that wait for others are left out.

    ``times``: when each serving is to be smelt, as it is printed.
    """
    drawn = tuple(_card(plan, card, brief_text, (times or {}).get(card.serving_id, "")) for card in cards if card.open)
    skin = words.SKIN_CAUTIONS if SKIN in plan.media else ()
    return Cards(head, drawn, words.STRIP_CAUTIONS, skin, paper)


def _card(plan: Plan, card: Card, brief_text: str, at: str) -> BallotCard:
    serving = card.serving
    place = AT_THE_END
    if serving is not None:
        warm_up = " · a first strip to begin with" if serving.warm_up else ""
        place = f"Set {card.number} of {card.sets} · {words.after(serving.age_seconds, serving.medium)}{warm_up}"
    asks_brief = any(question.name == "nearer" for question in card.open)
    return BallotCard(
        label=card.label,
        alias=card.alias,
        place=place,
        codes=card.codes,
        notes=_notes(plan, card),
        lead=f"The brief: {brief_text}"
        if asks_brief and brief_text
        else _LEADS.get(plan.method, "")
        if serving
        else "",
        items=tuple(_item(plan, question) for question in card.open),
        skin=serving is not None and serving.medium == SKIN,
        at=at,
        how="" if serving is None else smelling.paragraph(smelling.way(plan, serving.medium), card.sets),
    )


_LEADS: Final = MappingProxyType({"profile": RATING_LEAD, "ranking": ORDER_LEAD})


def _notes(plan: Plan, card: Card) -> tuple[str, ...]:
    if card.serving is not None and card.serving.sites:
        return card.serving.sites
    first = "reference" if plan.kind.reference and card.codes else ""
    return tuple(first if at == 0 else "" for at in range(len(card.codes)))


def _item(plan: Plan, question: Question) -> Item:
    if question.name.startswith(RATE):
        wanted = question.name.removeprefix(RATE)
        return _rating(question, next(one for one in rated(plan) if one.name == wanted))
    if question.in_order:
        asked = "Which do you like best? Put the codes in order, from the best to the last."
        return Item("order", asked, boxes=len(question.codes))
    asked, below = wording.ballot_question(plan.method, question.name, plan.descriptor)
    if question.pick > 1:
        below = f"Cross {question.pick} boxes. {below}".strip()
    return Item("boxes", asked, below, _options(question))


def _options(question: Question) -> tuple[Option, ...]:
    kind = question.name.partition(" ")[0]
    return tuple(
        Option(wording.option_label(kind, option), typed if _unlike(typed, option) else "")
        for typed, option in paper_reading.numbered(question)
    )


def _unlike(typed: str, option: str) -> bool:
    """What is typed is printed where it is not to be seen from the option itself."""
    return typed != option and "|" not in option and option not in YES_NO


def _rating(question: Question, descriptor: Descriptor) -> Item:
    ends = wording.rating_ends(descriptor.name, descriptor.scale, descriptor.low, descriptor.high)
    name = wording.rating_title(descriptor.name)
    scale = scale_of(descriptor.scale)
    told = (name[:1].upper() + name[1:], descriptor.definition, tuple(Option(option) for option in question.options))
    if scale.marked:
        return Item("line", *told, ends)
    return Item("scale", *told, _at_boxes(scale, ends) if scale.ends else ("", ""))


def _at_boxes(scale: Scale, ends: tuple[str, str]) -> tuple[str, str]:
    """The words at the ends, with the boxes they belong to."""
    return f"{scale.steps[0].said}: {ends[0]}", f"{scale.steps[-1].said}: {ends[1]}"
