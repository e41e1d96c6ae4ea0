"""What a round of pairs or a ranking found, in sentences: people for each pair, camps, circles, how sure, for whom."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

from evaluation.counting.fans import fan_of
from evaluation.counting.rounds import Came, Pair, RoundFound, circular, led_by
from evaluation.ground.tables_digits import fixed, signed
from evaluation.kinds import Ranking, Round
from evaluation.sessions import SKIN, Plan
from evaluation.statistics import PairCamps
from evaluation.values.trials import listed, sentence_case, trial_name
from evaluation.wording.of_fans import fan_lines
from evaluation.wording.of_verdicts import count, none_counted, on_media, p_words, percent, sealed_risk

UNTOLD = "cannot be told from indifference"


# --- first of all -------------------------------------------------------------------------------------------------


def summary_lines(found: RoundFound) -> tuple[str, ...]:
    """Camps first, then every pair that is shown, then the rest in one sentence, then an order sealed beforehand."""
    if not found.answered:
        return (f"There is nothing to compare: {none_counted(found.came.planned, found.came.left_out, 'sets')}.",)
    fan = fan_of(found)
    own = fan_lines(fan) if fan is not None else ()
    return (*_camps(found), *_shown(found), *_rest(found), *_circle(found), *_page(found), *own)


def _camps(found: RoundFound) -> Iterator[str]:
    if found.camps is None or not found.split:
        return
    for one in found.camps.pairs:
        if one.opposite:
            first, second = found.names[one.first], found.names[one.second]
            people = count(one.people, "person", "people")
            yield (
                f"The panel splits into two camps over {trial_name(first, second)}: of {people} {one.for_first} keep "
                f"to {trial_name(first)}, {one.for_second} to {trial_name(second)}{_undecided(one)} (both directions, "
                f"family {_p(one.opposite_p_family or 0.0, found.alpha)}). An average of the two would be held by "
                "nobody, so none is given."
            )


def _undecided(one: PairCamps) -> str:
    return f", {one.even} to neither" if one.even else ""


def _shown(found: RoundFound) -> Iterator[str]:
    place = {one: at for at, one in enumerate(led_by(found))}
    shown = [pair for pair in found.pairs if pair.shown]
    for pair in sorted(shown, key=lambda one: (place[one.better], one.people)):
        yield pair_line(pair, found.names)


def pair_line(pair: Pair, names: tuple[str, ...]) -> str:
    """ "Trial 8 is preferred to trial 7 by 14 of 18 people (1 no preference; family p = .012)."."""
    better, worse = (pair.first, pair.second) if pair.better == pair.first else (pair.second, pair.first)
    most = max(pair.for_first, pair.for_second)
    even = f"{pair.even} liked both as often; " if pair.even else ""
    return (
        f"{sentence_case(trial_name(names[better]))} is preferred to {trial_name(names[worse])} by {most} of "
        f"{count(pair.people, 'person', 'people')} "
        f"({even}family {_p(pair.p_family, pair.alpha)})."
    )


def _rest(found: RoundFound) -> Iterator[str]:
    open_ = [pair for pair in found.pairs if not pair.shown and not pair.camps]
    if not open_:
        return
    if len(open_) == len(found.pairs):
        yield "No order shown: no pair is told apart by preference. That does not say that all are liked alike."
        return
    told = "; ".join(trial_name(found.names[one.first], found.names[one.second]) for one in open_)
    yield f"Not told apart by preference: {told}. That does not say that they are liked alike."


def _circle(found: RoundFound) -> Iterator[str]:
    circles = circular(found)
    if circles:
        names = [trial_name(found.names[place]) for place in circles[0]]
        yield (
            f"More people prefer {names[0]} to {names[1]}, {names[1]} to {names[2]}, and {names[2]} to {names[0]}: "
            "these majorities go in a circle, no order holds for them."
        )


def _page(found: RoundFound) -> Iterator[str]:
    page = None if found.ranked is None else found.ranked.page
    if page is None or found.split:
        return
    order = trial_name(*(found.names[place] for place in page.order))
    follows = "The ranks follow" if page.p_value <= found.alpha else "The ranks are not shown to follow"
    yield f"{follows} the order sealed beforehand, best first: {order} (Page, {_p(page.p_value, found.alpha)})."


# --- numbers ------------------------------------------------------------------------------------------------------


def facts(found: RoundFound) -> tuple[tuple[str, str], ...]:
    """What the sentences rest on, one line a number; nothing averaged over camps."""
    return tuple(_facts(found))


def _facts(found: RoundFound) -> Iterator[tuple[str, str]]:
    yield "People", str(found.people)
    if found.ranked is not None and not found.split:
        sums = ", ".join(f"{s:g} for {trial_name(n)}" for n, s in zip(found.names, found.ranked.rank_sums, strict=True))
        exact = "exact" if found.ranked.exact else "by χ²"
        yield "Sum of places, small is better", sums
        yield "Do the ranks differ (Friedman)", f"{_p(found.ranked.p_value, found.alpha)}, {exact}"
        yield "Agreement of people (W, 0 to 1)", fixed(found.ranked.agreement, 2)
    if found.merits is not None and not found.split:
        by = found.merits.equality_by_people
        yield "Do the merits differ, by people", "cannot be told" if by is None else _p(by, found.alpha)
        yield "Does one scale explain the answers", _fit_words(found.merits.fit.p_value, found.alpha)
    yield "Camps", _camp_word(found)
    place = found.placed
    if place is not None and place.position_effect is not None and place.position_error is not None:
        yield "Habit of taking the first smelt", _habit_words(place.position_effect, place.position_error)


def _habit_words(effect: float, error: float) -> str:
    """The log-odds as the share of pairs liked alike in which the first smelt is taken."""
    share = percent(1 / (1 + math.exp(-effect)))
    return f"taken in {share} of pairs liked alike (log-odds {signed(effect, 2)}, standard error {fixed(error, 2)})"


def _fit_words(p_value: float | None, alpha: float) -> str:
    return "cannot be told" if p_value is None else f"misfit {_p(p_value, alpha)}"


def _camp_word(found: RoundFound) -> str:
    if found.camps is None:
        return "nobody preferred anything"
    p = "" if found.camps.p_value is None else f" ({_p(found.camps.p_value, found.alpha)})"
    return f"{found.camps.finding}{p}"


def _p(p_value: float, level: float) -> str:
    return p_words(p_value, level)


def came_line(came: Came) -> str:
    """Planned, come in, counted, and what was left out."""
    lost = "".join(f", {number} left out ({kind})" for kind, number in came.left_out)
    return f"{count(came.planned, 'set', 'sets')} planned, {came.came_in} came in, {came.counted} counted{lost}."


# --- what it does not say -----------------------------------------------------------------------------------------


def caveats(found: RoundFound) -> tuple[str, ...]:
    """What these findings do not say, one sentence each."""
    return tuple(_caveats(found))


def _caveats(found: RoundFound) -> Iterator[str]:
    people = count(found.people, "person", "people")
    if found.people:
        yield f"This speaks for the {people} who answered; for others only if these were drawn from them by lot."
    yield "A preference says which one, not by how much, and nothing on whether it suits the brief."
    if found.camps is not None and found.camps.finding == UNTOLD:
        yield (
            "Nobody answered twice about a pair: camps of opposite minds cannot be told from indifference. Two or more "
            "replicates tell."
        )
    if found.merits is not None:
        yield from _merit_caveats(found)
    if found.plan.kind.ranks and found.plan.replicates > 1:
        yield "Several rankings of one person are averaged first and ranked anew: each person is one row."
    if found.medium == SKIN:
        yield "Skin only: it differs from person to person, and on a strip the same change may show more or less."
    else:
        yield "Strips only: on skin a difference may show more, less, or at another time."


def _named(explanation: str, names: tuple[str, ...]) -> str:
    """The statistics speak of trials by place, in braces; people know them by name."""
    return re.sub(r"\{([\d, ]+)\}", lambda at: trial_name(*(names[int(one)] for one in at[1].split(","))), explanation)


def _merit_caveats(found: RoundFound) -> Iterator[str]:
    assert found.merits is not None
    if found.merits.explanation:
        yield _named(found.merits.explanation, found.names)
    yield (
        "Which pairs are shown is said by people’s majorities (exact sign tests, Holm over all pairs); the merits "
        "describe, with their error by people."
    )
    misfit = found.merits.fit.p_value
    if misfit is not None and misfit <= found.alpha:
        yield "One scale does not explain the answers well: look at the pairs, not at the merits."


def plan_lines(plan: Plan, names: tuple[str, ...]) -> tuple[str, ...]:
    """The sealed plan, one sentence a line."""
    each, fan = _each(plan), plan.strips_a_code > 1
    times = f", {plan.replicates} times over" if plan.replicates > 1 else ""
    named = "Round of pairs" if plan.kind.pairs else "Ranking by fans of two strips" if fan else "Ranking"
    lines = [
        f"{named} of {trial_name(listed(names)) if fan else trial_name(*names)}, {on_media(plan.media)}.",
        f"{count(plan.people, 'person', 'people')}, {each} each{times}.",
        f"Risks: alpha {sealed_risk(plan.alpha)} for the family of all pairs.",
    ]
    if plan.kind.pairs:
        lines += _chosen(plan)
        lines.append(f"“No preference” {'may' if plan.design.ties_allowed else 'may not'} be chosen.")
        lines.append(f"Asked besides: how sure{' and which is nearer the brief' if plan.design.asks_nearer else ''}.")
    if fan:
        lines.append(f"Second strips: each material in {Ranking.of(plan).second_solvent}, the blank in nothing else.")
        return tuple(lines)
    if plan.kind.ranks:
        expected = [names[plan.trial_ids.index(one)] for one in Ranking.of(plan).expected_order]
        order = f"Order expected beforehand, least first: {trial_name(*expected)}." if expected else ""
        lines.append(order or "No order was expected beforehand.")
    return tuple(lines)


def _chosen(plan: Plan) -> Iterator[str]:
    """What a proposal was drawn with."""
    if Round.of(plan).asked_pairs:
        yield (
            "The pairs were proposed by their worth for a search, not the same for everybody; drawn with seed "
            f"{Round.of(plan).asked_seed}."
        )


def _each(plan: Plan) -> str:
    """ "2 of 3 pairs", "1 tray": what each person smells."""
    if not plan.kind.pairs:
        return count(plan.sets_a_round, "tray", "trays")
    own = Round.of(plan)
    if own.asked_pairs:
        return f"{own.sets_a_round} chosen of {count(own.pairs, 'pair', 'pairs')}"
    few = f"{own.sets_a_round} of " if own.sets_a_round < own.pairs else ""
    return f"{few}{count(own.pairs, 'pair', 'pairs')}"
