"""What a ballot asks, in order: questions drawn from the plan and the servings of one seat. Imports nothing heavy."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from typing import Final

from evaluation.errors import ArgumentError
from evaluation.ground.terms import SURENESS as SURE
from evaluation.kinds import ByKind, Profile
from evaluation.kinds.forced_choice import WAYS_TO_PAIR as WAYS_TO_PAIR
from evaluation.sessions import NO_PREFERENCE, OVERALL, SKIN, Plan, Question, Serving
from evaluation.values.descriptors import Descriptor
from evaluation.values.scales import scale_of

RATE: Final = "rate "  # "rate woody": a question of a rating screen
WEAR: Final = ("yes", "perhaps", "no")
STRENGTH: Final = ("very weak", "weak", "medium", "strong", "very strong")
YES_NO: Final = ("no", "yes")


def questions(
    plan: Plan,
    servings: tuple[Serving, ...],
    groups: tuple[tuple[str, ...], ...] = (),
    *,
    off_skin: bool = False,
) -> tuple[Question, ...]:
    """Every question of one ballot, in order.

    ``servings`` are those of one seat; void and unused spare ones are passed over. ``groups`` (preferences over
    several ages only) are the codes of each trial in drawn order: the overall choice is between the two groups.
    ``off_skin``: this person's skin part has ended; nothing more is asked about it.
    """
    asked = to_smell(servings, off_skin=off_skin)
    listed: list[Question] = []
    for serving in asked:
        listed.extend(ASKED.of(plan.method)(plan, serving))
    if asked and plan.kind.rates and Profile.of(plan).descriptor_order == "drawn":
        listed = _in_own_order(listed, min(serving.id for serving in servings))
    if plan.kind.votes:
        listed.extend(_overall(plan, asked, groups))
    if not plan.solo and (asked or not off_skin):  # whose skin reacted and who has no strips is asked nothing more
        listed.append(Question("", "overheard", (), YES_NO))
    return tuple(listed)


def to_smell(servings: tuple[Serving, ...], *, off_skin: bool = False) -> list[Serving]:
    """The sets of one seat that are to be smelt, in order."""
    return [
        serving
        for serving in sorted(servings, key=lambda serving: serving.place)
        if not serving.void and not serving.spare and not (off_skin and serving.medium == SKIN)
    ]


def _in_own_order(listed: list[Question], own: str) -> list[Question]:
    """Descriptors in an order of this panelist's own, the same on every screen; no secret, so a hash will do."""
    places = {question.serving_id: place for place, question in reversed([*enumerate(listed)])}
    return sorted(listed, key=lambda q: (places[q.serving_id], _last(q), _drawn(own, q.name)))


def _last(question: Question) -> int:
    """Strength and liking come after the descriptors, strength first."""
    names = (RATE + STRENGTH_NAME, RATE + LIKING_NAME)
    return names.index(question.name) + 1 if question.name in names else 0


def _drawn(own: str, name: str) -> str:
    return hashlib.sha256(f"{own} {name}".encode()).hexdigest()


def _forced(plan: Plan, serving: Serving) -> list[Question]:
    """What may be chosen among the codes, as the record of the method has it."""
    forced, codes = plan.kind.forced, serving.codes
    if forced is None:
        raise ArgumentError(f"method must be a forced choice to be asked as one, not {plan.method!r}.")
    return [Question(serving.id, "choice", codes, forced.offers(codes), pick=forced.pick), *_sure(plan, serving)]


def _preferred(plan: Plan, serving: Serving) -> list[Question]:
    options = (*serving.codes, NO_PREFERENCE) if plan.design.ties_allowed else serving.codes
    asked = [Question(serving.id, "choice", serving.codes, options), *_sure(plan, serving)]
    if plan.design.asks_nearer:
        asked.append(Question(serving.id, "nearer", serving.codes, (*serving.codes, NO_PREFERENCE)))
    return asked


def _sure(plan: Plan, serving: Serving) -> list[Question]:
    asked = [Question(serving.id, "sure", serving.codes, SURE)]
    if plan.solo:  # sight, touch or wetness can tell somebody who dipped the strips
        asked.append(Question(serving.id, "recognised", serving.codes, YES_NO))
    return asked


STRENGTH_NAME: Final = "strength"
LIKING_NAME: Final = "liking"


def rated(plan: Plan) -> tuple[Descriptor, ...]:
    """Everything one screen of a profile rates: the descriptors, then strength and liking as questions of their own."""
    asked_of = Profile.of(plan)
    own = ((asked_of.asks_strength, STRENGTH_NAME), (asked_of.asks_liking, LIKING_NAME))
    return (*asked_of.descriptors, *(Descriptor(name) for asked, name in own if asked))


def _ratings(plan: Plan, serving: Serving) -> list[Question]:
    asked = ((one, scale_of(one.scale)) for one in rated(plan))
    return [Question(serving.id, RATE + one.name, serving.codes, on.answers, kind=on.name) for one, on in asked]


def _ranked(plan: Plan, serving: Serving) -> list[Question]:
    return [Question(serving.id, "ranking", serving.codes, serving.codes, len(serving.codes), "ranking")]


ASKED: Final[ByKind[Callable[[Plan, Serving], list[Question]]]] = ByKind(
    "questions of a set",
    {
        "forced choice": _forced,
        "preference": _preferred,
        "profile": _ratings,
        "round": _preferred,
        "ranking": _ranked,
    },
)


def _overall(plan: Plan, asked: list[Serving], groups: tuple[tuple[str, ...], ...]) -> list[Question]:
    """After the last age: one choice over all ages, then wearing and strength of each trial."""
    if not asked:
        return []
    options = tuple(" ".join(group) for group in groups) if len(plan.ages) > 1 and groups else asked[-1].codes
    listed = []
    if len(plan.ages) > 1:
        ties = (NO_PREFERENCE,) if plan.design.ties_allowed else ()
        listed.append(Question("", OVERALL, options, (*options, *ties)))
    for option in options:
        listed.append(Question("", f"wear {option}", (option,), WEAR))
        listed.append(Question("", f"strength {option}", (option,), STRENGTH))
    return listed
