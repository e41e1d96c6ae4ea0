"""The plan form without its screen: what was typed → a checked plan, a draft → what to show in the form."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import Any, Final
from zoneinfo import ZoneInfo

from parts import typed_values
from parts.plan import several_typed
from parts.plan.typed import Typed, on_skin

from evaluation.alone import ways
from evaluation.errors import ArgumentError
from evaluation.ground.intake import shortened
from evaluation.ground.tables_digits import significant
from evaluation.kinds import Method, kind_of, strips_of
from evaluation.kinds import methods as known
from evaluation.planning import sizes
from evaluation.planning.null_sets import null_outlook
from evaluation.planning.outlook import SETS_A_SITTING, STRIPS_A_SITTING, sets_a_sitting
from evaluation.serving.blinding import law_now
from evaluation.serving.smelling import going_back_of
from evaluation.sessions import (
    ALWAYS_OUT,
    CLIPS,
    DEVIATIONS,
    EARLY,
    LATE,
    MEDIA,
    MOST_NULL_SETS,
    OVERALL,
    STRIP,
    VIALS,
    DeviationKind,
    Plan,
    Preparation,
    Seat,
    StripAge,
)
from evaluation.values.briefs import Brief
from evaluation.values.trials import Meant

BOTH: Final = MEDIA[-1]  # strip and skin in one session
# One tick for what was smelt outside its tolerance, in either direction; a plan then names both.
MAY_LEAVE: Final = tuple(kind for kind in DEVIATIONS if kind not in (*ALWAYS_OUT, EARLY))
BOTH_WAYS: Final[Mapping[str, tuple[DeviationKind, ...]]] = MappingProxyType({LATE: (EARLY, LATE)})
CLIPS_FROM_SECONDS: Final = 3600  # a tenth of it leaves room for the sets of one dip, a null one with them
SECONDS_PER_STRIP: Final = 40  # write the code, dip, wipe, set in the holder (our proposal)


def build(typed: Typed, brief: Brief) -> Plan:
    """The plan that was typed; anything that does not stand is refused with one sentence."""
    own = several_typed.fields if kind_of(typed.method).several else _of_two
    ages = typed_values.strip_ages(typed.ages, typed.tolerance)
    skin_ages = typed_values.strip_ages(typed.skin_ages, typed.tolerance) if typed.medium == BOTH else ()
    alone = typed.solo and kind_of(typed.method).judged
    plan = Plan.of(
        brief_id=brief.id,
        title=typed.title.strip(),
        method=typed.method,
        medium=typed.medium,
        ages=ages,
        seats=seats(typed.people, 0 if alone else typed.spares),
        alpha=risk("alpha", typed.alpha),
        beta=risk("beta", typed.beta),
        pd=share_of(typed),
        size=size_of(typed),
        plain_difference=typed.plain_difference,
        left_out=(*ALWAYS_OUT, *left_out_too(typed, alone)),
        prior=typed.prior,
        zone=_zone(typed.zone),
        skin_ages=skin_ages,
        going_back=typed.going_back or going_back_of(typed.method),
        draw=law_now(solo=alone),
        meant=_meant(typed),
        **own(typed, brief, ages),
    )
    ways.check(plan)
    return plan


def _meant(typed: Typed) -> Meant:
    if typed.meant is None:
        raise ArgumentError("the difference meant must be chosen where two bottles of one trial are compared.")
    return typed.meant


def _of_two(typed: Typed, brief: Brief, ages: Sequence[StripAge]) -> dict[str, Any]:
    """The fields a plan about two trials has of its own."""
    if typed.first_trial_id is None or typed.second_trial_id is None:
        raise ArgumentError("first and second trial must both be chosen.")
    directed, preference = kind_of(typed.method).directed, kind_of(typed.method).votes
    if directed and not typed.descriptor.strip():
        raise ArgumentError("the quality to compare must be named, such as fresh.")
    return {
        "first_trial_id": typed.first_trial_id,
        "second_trial_id": typed.second_trial_id,
        "primary": primary_of(typed.primary, ages, typed.method),
        "replicates": 1 if preference or on_skin(typed) else typed.replicates,
        "descriptor": typed.descriptor.strip() if directed else "",
        "expected": typed.expected if directed else "",
        "ties_allowed": typed.ties_allowed,
        "ties_rule": typed.ties_rule,
        "asks_nearer": bool(brief.text),
        "solo": typed.solo and not preference,
        "preparation": (typed.preparation or offered_preparation(ages)) if typed.solo and not preference else "",
        "look_every": 0 if on_skin(typed) else typed.look_every,
        "sureness_weights": weights_of(typed),
        "null_sets": _null_sets(typed, len(ages)),
    }


def weights_of(typed: Typed) -> tuple[int, ...]:
    """The weights as typed; none where nothing is to weigh, or there is nothing to be right about."""
    if not typed.weights.strip() or kind_of(typed.method).votes:
        return ()
    written = [one.strip() for one in typed.weights.split(",")]
    if not all(one.isascii() and one.isdigit() and len(one) < 3 for one in written):
        raise ArgumentError(f"weights must be four whole numbers such as 2, 3, 4, 5, not {shortened(typed.weights)}.")
    return tuple(map(int, written))


def offered_preparation(ages: Sequence[StripAge]) -> Preparation:
    """What a plan alone begins with: clips where every strip is old enough for the sets of one dip, else vials."""
    return CLIPS if min(age.seconds for age in ages) >= CLIPS_FROM_SECONDS else VIALS


def _null_sets(typed: Typed, ages: int) -> int:
    if on_skin(typed):
        return 0
    return offered_null_sets(typed, ages) if typed.null_sets is None else typed.null_sets


def typed_of(plan: Plan) -> Typed:
    """What the form shows for a draft."""
    said = plan.as_sealed()  # also what means nothing for its kind: another may be chosen
    return Typed(
        title=plan.title,
        plain_difference=plan.plain_difference,
        method=plan.method,
        first_trial_id=plan.first_trial_id,
        second_trial_id=plan.second_trial_id,
        ages=", ".join(typed_values.minutes(age.seconds) for age in plan.ages),
        tolerance=typed_values.tolerance_text(plan.ages),
        primary=plan.primary,
        replicates=plan.replicates,
        people=tuple(seat.panelist_id for seat in plan.seats if seat.panelist_id is not None),
        spares=sum(seat.panelist_id is None for seat in plan.seats),
        alpha=str(plan.alpha),
        beta=str(plan.beta),
        pd=str(plan.pd),
        size=sizes.step_of(plan.size),
        of_hundred="76" if plan.size is None else significant(sizes.of_hundred(plan.size), 4),
        descriptor=plan.descriptor,
        expected=plan.expected or "second",
        ties_allowed=said["ties_allowed"],
        ties_rule=plan.ties_rule,
        also_out=tuple(kind for kind in plan.left_out if kind in MAY_LEAVE),
        zone=plan.zone,
        solo=plan.solo,
        preparation=plan.preparation or None,
        look_every=plan.look_every,
        weights=", ".join(map(str, plan.sureness_weights)),
        null_sets=plan.null_sets,
        prior=said["prior"],
        medium=plan.medium,
        skin_ages=", ".join(typed_values.minutes(age.seconds) for age in plan.skin_ages) or "30",
        going_back=plan.going_back,
        meant=plan.meant,
        **several_typed.typed_of(plan),
    )


def seats(people: Sequence[str], spares: int) -> tuple[Seat, ...]:
    """Seats from 1: the people of the panel, then the spare ones."""
    taken = [Seat(number, person) for number, person in enumerate(people, start=1)]
    free = [Seat(number, None) for number in range(len(people) + 1, len(people) + spares + 1)]
    return (*taken, *free)


def left_out_too(typed: Typed, alone: bool) -> tuple[DeviationKind, ...]:
    """The kinds a plan leaves out besides those that always are."""
    ticked = (kind for kind in may_leave(alone) if kind in typed.also_out)
    return tuple(kind for one in ticked for kind in BOTH_WAYS.get(one, (one,)))


def may_leave(solo: bool) -> tuple[DeviationKind, ...]:
    """What may leave the primary analysis: alone nobody is overheard, and only there one tells on oneself."""
    others = ("overheard",) if solo else ("recognised", "wrong code")
    return tuple(kind for kind in MAY_LEAVE if kind not in others)


def methods(solo: bool) -> tuple[Method, ...]:
    """Ways to ask whether it is noticed; alone only those whose marks can be told after the shuffle."""
    return known(lambda kind: kind.alone if solo else kind.judged)


def look_choices(people: int, replicates: int, solo: bool, method: Method) -> tuple[int, ...]:
    """Answers between two looks that leave at least two looks: full rounds of a panel, alone the sets of a sitting.

    A panel whose people answer once may be looked at after any number, as they lock one after another.
    """
    asked, step = people * replicates, 1
    if solo:
        step = sets_a_sitting(method)
    elif replicates > 1:
        step = people
    if not step:
        return ()
    usual = range(step, asked // 2 + 1, step)
    return tuple(every for every in (usual[:1] if solo else usual) if asked % every == 0)


def offered_null_sets(typed: Typed, ages: int) -> int:
    """One null set a nose where it keeps every nose within a sitting and could warn at all, else none; alone none."""
    if typed.solo or kind_of(typed.method).votes:
        return 0
    sets = typed.replicates * ages + 1
    tiring = sets > SETS_A_SITTING or sets * strips_of(typed.method) > STRIPS_A_SITTING
    return 0 if tiring or not _can_warn(typed) else 1


def fewest_null_sets(typed: Typed) -> int:
    """Alone, the fewest null sets that can warn at all; 0 where the most there may be cannot."""
    try:
        alpha, pd = float(risk("alpha", typed.alpha)), float(share_of(typed))
    except ArgumentError:
        return 0  # said where the whole plan is built
    warning = (
        sets for sets in range(1, MOST_NULL_SETS + 1) if null_outlook(typed.method, sets, alpha, pd).minimum is not None
    )
    return next(warning, 0)


def _can_warn(typed: Typed) -> bool:
    try:
        alpha, pd = float(risk("alpha", typed.alpha)), float(share_of(typed))
    except ArgumentError:
        return False  # said where the whole plan is built
    return bool(typed.people) and null_outlook(typed.method, len(typed.people), alpha, pd).minimum is not None


def size_of(typed: Typed) -> Decimal | None:
    """The size as it was said; None where the method has none, or the share itself was said."""
    if not kind_of(typed.method).distance:
        return None
    own = (
        typed_values.number("people of 100 who pick right", typed.of_hundred, "76") if typed.size == sizes.OWN else None
    )
    return sizes.size_of_choice(typed.size, own)


def share_of(typed: Typed) -> Decimal:
    """The pd the plan seals: that of its size in its method, else as typed."""
    size = size_of(typed)
    return risk("pd", typed.pd) if size is None else sizes.sealed(size, typed.method)


def risk(name: str, text: str) -> Decimal:
    """A share between 0 and 1, both excluded, exactly as typed."""
    value = typed_values.number(name, text, "0.05")
    if not 0 < value < 1:
        raise ArgumentError(f"{name} must lie between 0 and 1, both excluded, not {value}.")
    return value


def primary_of(chosen: int | str | None, ages: Sequence[StripAge], method: Method) -> int | str | None:
    """The primary age: the only one there is, else the chosen one while it is still among the ages."""
    if len(ages) == 1:
        return ages[0].seconds
    return chosen if chosen in primary_choices(ages, method) else None


def primary_choices(ages: Sequence[StripAge], method: Method) -> tuple[int | str | None, ...]:
    """What may be primary where there are several ages; None corrects over all of them."""
    overall: tuple[str, ...] = (OVERALL,) if kind_of(method).votes else ()
    return (*overall, *(age.seconds for age in ages), None)


# --- strips and minutes ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Load:
    """What a plan asks of whoever prepares."""

    strips: int  # for the planned panelists, one dip each
    minutes: int  # of the preparer, rounded up
    spare_strips: int  # one set per seat, dipped only when a set is spoilt


def load(plan: Plan) -> Load:
    """Count strips, which are dips too, and preparer minutes."""
    return Load(
        strips=plan.strips,
        minutes=-(-plan.strips * SECONDS_PER_STRIP // 60),
        spare_strips=0 if plan.solo or STRIP not in plan.media else len(plan.seats) * strips_of(plan.method),
    )


def _zone(name: str) -> str:
    try:
        return ZoneInfo(name).key
    except (ValueError, OSError, KeyError):
        raise ArgumentError(f"time zone must be a name such as Europe/Paris, not {shortened(name)}.") from None
