"""The size that matters, in sentences of plan and findings; each names the method its share belongs to."""

from __future__ import annotations

from evaluation.ground.tables_digits import fixed
from evaluation.planning import by_direction, sizes
from evaluation.planning.by_direction import MethodPrice
from evaluation.planning.outlook import Outlook
from evaluation.sessions import Plan
from evaluation.wording.of_ballots import sets_name, test_name
from evaluation.wording.of_verdicts import percent, sealed_risk


def people(size: float) -> str:
    """ "76": whole people of 100, half a person and more counting as one."""
    return fixed(size, 0)


def size_line(plan: Plan) -> str:
    """What matters to this plan: the size, if one was said, and the share of its own method."""
    share = f"{percent(float(plan.pd))} who notice in {test_name(plan.method)}"
    if plan.size is None:
        other = ", and another difference in another method" if plan.kind.distance else ""
        return f"What matters: {share}, said as a share{other}."
    of = people(sizes.of_hundred(plan.size))
    return (
        f"What matters: a difference at which, of 100 people who smell the two side by side and know what to look for, "
        f"{of} pick right (d-prime {plan.size}); that is {share}."
    )


def risk_lines(plan: Plan) -> tuple[str, ...]:
    """The sealed risks, with the share that would matter in this method, and the size where one was said."""
    where = "" if plan.kind.votes else f" in {test_name(plan.method)}"
    alpha, beta, pd = map(sealed_risk, (plan.alpha, plan.beta, plan.pd))
    risks = f"Risks: alpha {alpha}, beta {beta}, with a share of {pd} that would matter{where}."
    return (risks,) if plan.size is None else (risks, size_line(plan))


def not_noticed_lines(plan: Plan, outlook: Outlook) -> tuple[str, ...]:
    """What a *not noticed* at the plan's size takes, and how likely this panel gets there when nobody can tell."""
    if plan.size is None:
        return ()
    found = sizes.costs(plan.size, outlook.alpha_used, outlook.beta, plan.solo)
    listed = "; ".join(cost_words(one) for one in found if one.answers is not None)
    lines = [f"To end as “noticed” or “not noticed” whatever is answered, this size takes {listed}."] if listed else []
    quiet = sizes.quiet(outlook)
    if quiet and quiet < 1.0 - outlook.beta:  # where it cannot occur the plan says so by itself
        asked = f"{outlook.assessments} {sets_name(outlook.method)}"
        lines.append(
            f"If nobody can tell, {asked} end as “not noticed” with probability {percent(quiet)} only: plan more, "
            "or a method that takes fewer."
        )
    return tuple(lines)


def cost_words(cost: sizes.Cost) -> str:
    """ "110 tetrads (440 strips)" """
    return f"{cost.answers} {sets_name(cost.method)} ({cost.strips} strips)"


def direction_line(prices: tuple[MethodPrice, ...]) -> str:
    """Before a method is chosen: what naming the direction saves, in strips of a series."""
    most, *fewer = prices
    listed = ", ".join(f"{one.strips} by {sets_name(one.method)}" for one in fewer)
    directed = " and ".join(sets_name(one.method) for one in prices if one.directed)
    return (
        "If you can name what changed, such as fresher or less sweet, say so first: the method matters most, and "
        f"{directed} ask for the quality you name. At a difference that "
        f"{people(sizes.of_hundred(by_direction.DISTANCE))} of 100 pick right side by side (d-prime "
        f"{by_direction.DISTANCE}) a series, whose evidence adds up over sittings, takes (median) {most.strips} strips "
        f"by {sets_name(most.method)}, {listed}."
    )
