"""What a profile found, in sentences: what moved, when, by how much; how strength falls; words, levels, people."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from evaluation.asking import LIKING_NAME, STRENGTH_NAME, rated
from evaluation.profiles import Came, Move, ProfileFound, furthest, moves
from evaluation.sessions import SKIN, Plan
from evaluation.statistics import (
    CheckedPair,
    JustRightRow,
    JustRightSide,
    PairDecay,
    PanelistOverall,
    ProfileDifferences,
    Stretch,
    TrialDecay,
)
from evaluation.wording_verdicts import count, p_words, percent

MINUS: Final = "−"
FEWEST_IN_FAMILY: Final = 6
_MORE: Final = {STRENGTH_NAME: ("stronger", "weaker"), LIKING_NAME: ("liked more", "liked less")}
# Beside the mixed model, wherever its table stands.
MODEL: Final = (
    "Each rating by itself: trial, age and both together against how people differ, in the trials and in the ages. "
    "Ratings of fewer than six people are described: no p is given. What moved is taken from the family of "
    "comparisons, not from here."
)
NOT_THE_SAME: Final = (
    "What was not shown to move is not shown to be the same: the bound says how far it may have moved, by its own "
    "interval."
)


# --- what moved ---------------------------------------------------------------------------------------------------


def summary_lines(found: ProfileFound, *, everything: bool = False) -> tuple[str, ...]:
    """One sentence for each two trials, then what is described only; ``everything``: of all answers, none left out."""
    family = (found.all_differences if everything else None) or found.differences
    if family is None:
        return ("No two trials were rated on points: there is nothing to compare.",)
    return (*(_pair_line(found, family, *pair) for pair in family.pairs), *_outside(family))


def _pair_line(found: ProfileFound, family: ProfileDifferences, first: str, second: str) -> str:
    shown = moves(family, found.alpha, first, second)
    moved = tuple(dict.fromkeys(one.descriptor for one in shown))
    bound = furthest(family, first, second, moved)
    told = "; ".join(move_words(one, found.alpha, full=place == 0) for place, one in enumerate(shown))
    rest = _rest(bound, found.level, bool(shown))
    return f"{told}{'; ' if rest else ''}{rest}." if shown else f"Trials {first} and {second}: {rest}."


def move_words(move: Move, alpha: float, *, full: bool = True) -> str:
    """ "Trial 8 is more woody than trial 7 for the first hour (+1.6, family p = .010)"."""
    more = _MORE.get(move.descriptor, (f"more {move.descriptor}", f"less {move.descriptor}"))[not move.up]
    who = f"Trial {move.second} is {more} than trial {move.first}" if full else more
    p = p_words(move.p_family, alpha)
    most = " at most" if len(move.differences) > 1 else ""
    p = p if p.startswith("p <") or not most else p.replace("p =", "p at most")
    return f"{who} {when(move)} ({_by(move.differences)}, family {p})"


def when(move: Move) -> str:
    """The ages in words: "for the first hour", "at 5 min", "from 1 h to 4 h", "from 4 h on", "at every age"."""
    if move.from_start and move.to_end and move.first_age != move.last_age:
        return f"at every age, {age_words(move.first_age)} to {age_words(move.last_age)}"
    if move.first_age == move.last_age:
        return f"at {age_words(move.first_age)}"
    if move.from_start:
        return f"for the first {_stretch(move.last_age)}"
    if move.to_end:
        return f"from {age_words(move.first_age)} on"
    return f"from {age_words(move.first_age)} to {age_words(move.last_age)}"


def age_words(minutes: float) -> str:
    """5 min, 1 h, 1 d; whole units only, else minutes."""
    for size, unit in ((1440, "d"), (60, "h")):
        if minutes >= size and minutes % size == 0:
            return f"{minutes / size:g} {unit}"
    return f"{minutes:g} min" if minutes >= 1 else f"{minutes * 60:g} s"


def _stretch(minutes: float) -> str:
    return {60.0: "hour", 1440.0: "day", 1.0: "minute"}.get(minutes, age_words(minutes))


def _by(differences: tuple[float, ...]) -> str:
    low, high = signed(min(differences, key=abs)), signed(max(differences, key=abs))
    return low if low == high else f"{low} to {high}"


def signed(number: float) -> str:
    """+1.6, −0.4; a second decimal where one would say 0."""
    digits = 1 if abs(number) >= 0.05 or number == 0 else 2
    return f"{number:+.{digits}f}".replace("-", MINUS) if number else "0.0"


def _rest(bound: float | None, level: float, some: bool) -> str:
    """How far what was not shown to move may have moved; rounded up, so that it stays true."""
    if bound is None:
        return "" if some else f"too few people to claim anything: it takes {FEWEST_IN_FAMILY} who rated both"
    nothing = "no other descriptor" if some else "no descriptor was shown to move; none"
    if math.isinf(bound):
        return (
            f"{nothing} was shown to move, but how far it may have cannot be said"
            if some
            else ("no descriptor was shown to move, but how far one may have cannot be said")
        )
    if bound == 0:
        return "no other descriptor moved at all" if some else "nobody rated anything differently"
    return (
        f"{nothing} moved beyond ±{math.ceil(bound * 10 - 1e-9) / 10:.1f} ({percent(level)} intervals, each by itself)"
    )


def _outside(family: ProfileDifferences) -> Iterator[str]:
    """Rows outside the family: described, labelled, nothing claimed."""
    few = family.table[~family.table["in_family"]]
    if len(few):
        yield (
            f"{count(len(few), 'comparison has', 'comparisons have')} fewer than {FEWEST_IN_FAMILY} people who rated "
            "both trials: shown outside the family, described only, nothing is claimed from them."
        )


# --- how strength falls -----------------------------------------------------------------------------------------


def decay_line(trial: TrialDecay, threshold: float) -> str:
    """How long one trial stays above the threshold, with its interval or why there is none."""
    name = f"Trial {trial.trial}"
    if trial.censored == "right":
        said = f"{name} is still above {threshold:g} at the last age, {age_words(trial.time_above)}"
    elif trial.censored == "left":
        said = f"{name} is not above {threshold:g} at the first age already, {age_words(trial.time_above)}"
    else:
        said = f"{name} falls to {threshold:g} at about {_about(trial.time_above)}"
    return f"{said} ({trial.reason or _interval(trial.low, trial.high)})."


def parting_lines(pair: PairDecay) -> tuple[str, ...]:
    """Since when and until when one of two trials is the stronger; the curves only, no test."""
    return tuple(_parting(pair, one) for one in pair.stretches)


def _parting(pair: PairDecay, one: Stretch) -> str:
    other = pair.second if one.stronger == pair.first else pair.first
    since = f"{_about(one.since)} or before" if one.since_censored else f"about {_about(one.since)}"
    until = f"{_about(one.until)} at least" if one.until_censored else f"about {_about(one.until)}"
    gap = ", with a gap between" if one.pieces > 1 else ""
    return (
        f"Strength: the curve of trial {one.stronger} lies above that of trial {other} from {since} until {until}{gap}."
    )


def _interval(low: float, high: float) -> str:
    if math.isinf(high):
        return f"interval from {_about(low)} to beyond the last age" if low else "the interval has no bounds"
    return f"interval {_about(low)} to {_about(high)}"


def _about(minutes: float) -> str:
    """Minutes up to two hours, then hours with one decimal."""
    return f"{minutes:.0f} min" if minutes < 120 else f"{minutes / 60:.1f} h".replace(".0 h", " h")


# --- words to check, levels -------------------------------------------------------------------------------------


def checked_line(pair: CheckedPair, alpha: float) -> str:
    """How many checked a word for one of two trials only, and whether that differs."""
    return (
        f"{pair.descriptor}, {age_words(pair.age_minutes)}: {count(pair.second_only, 'person', 'people')} only for "
        f"trial {pair.second}, {pair.first_only} only for trial {pair.first} (of {pair.panelists}; family "
        f"{p_words(pair.p_family, alpha)})."
    )


def level_line(row: JustRightRow) -> str:
    """Counts, and what those who found it off think of the trial: an association."""
    sides = ", ".join(
        f"{side.people} {word}"
        for word, side in (("too weak", row.weak), ("right", row.right), ("too strong", row.strong))
    )
    liked = "".join(_liked(word, side) for word, side in (("too weak", row.weak), ("too strong", row.strong)))
    return f"{row.descriptor} of trial {row.trial}, {age_words(row.age_minutes)}: {sides}, of {row.panelists}.{liked}"


def _liked(word: str, side: JustRightSide) -> str:
    if side.liked_less is None or side.liked_less_low is None or side.liked_less_high is None:
        return ""
    less = f"{abs(side.liked_less):.1f} {'less' if side.liked_less >= 0 else 'more'}"
    limits = f"{signed(-side.liked_less_high)} to {signed(-side.liked_less_low)}"
    return f" Liked {less} by those who said {word} ({limits}): an association."


# --- people -----------------------------------------------------------------------------------------------------


def person_lines(one: PanelistOverall) -> tuple[str, ...]:
    """What to talk over with one panelist; no grade."""
    return tuple(line for line in (_shift(one), _width(one), _again(one), _along(one), _apart(one)) if line)


def _shift(one: PanelistOverall) -> str:
    if one.shift is None:
        return "Nobody else rated the same strips."
    if abs(one.shift) < 0.05:
        return "Rates as high as the others."
    return f"Rates {abs(one.shift):.1f} points {'higher' if one.shift > 0 else 'lower'} than the others, on average."


def _width(one: PanelistOverall) -> str:
    return "" if one.spread_ratio is None else f"Uses {one.spread_ratio:.1f} times the width of the scale others use."


def _again(one: PanelistOverall) -> str:
    if one.repeatability is None:
        return "No strip was smelt twice: how well the answers repeat cannot be said."
    return f"Repeats within {one.repeatability:.1f} points (standard deviation of replicates)."


def _along(one: PanelistOverall) -> str:
    if one.agreement is None:
        return "Too few strips shared with others to say how far they agree."
    return f"Correlation with the mean of the others {one.agreement:.2f}, the middle over what was rated.".replace(
        "-", MINUS
    )


def _apart(one: PanelistOverall) -> str:
    return f"Told trials apart in {one.told_apart} of {one.tested} things rated." if one.tested else ""


COACHING: Final = (
    "To talk over and to train, not to rank: with few replicates these numbers change from session to session, and "
    "who disagrees may be right. Nobody leaves this analysis because of them."
)


# --- what it rests on -------------------------------------------------------------------------------------------


def came_line(came: Came) -> str:
    """Strips and ratings at one age, missing ones counted apart."""
    left = "".join(f", {number} left out ({kind})" for kind, number in came.left_out)
    return (
        f"{age_words(came.age_minutes)}: {came.came_in} of {count(came.planned, 'strip', 'strips')} rated{left}; "
        f"{count(came.ratings, 'answer', 'answers')}, {came.not_smelt} “not smelt”, {came.skipped} skipped."
    )


def caveats(found: ProfileFound) -> tuple[str, ...]:
    """What these numbers do not say."""
    return tuple(_caveats(found))


def _caveats(found: ProfileFound) -> Iterator[str]:
    if found.medium == SKIN:
        yield "Skin only: it differs from person to person, and on a strip the same change may show more or less."
    else:
        yield "Strips only: on skin a difference may show more, less, or at another time."
    yield "Only the ages named were smelt: what happened between them is not known."
    yield NOT_THE_SAME
    yield (
        "The p of the family is exact for “each person would rate the two alike but for chance”; where people fall "
        "into camps look at their dots."
    )
    differences = found.differences
    if differences is not None and not differences.exact:
        yield f"The p rest on {differences.patterns:,} drawn patterns of signs, not on all of them.".replace(",", " ")
    if any(one.not_smelt + one.skipped for one in found.came):
        yield "“Not smelt” and skipped answers are missing, never 0; people seldom miss at random."


# --- what was sealed --------------------------------------------------------------------------------------------

_SCALES: Final = {
    "line": "on a line of 0 to 10",
    "category": "in categories 0 to 9",
    "check": "to check if they apply",
    "level": "as too weak, right or too strong",
}


def plan_lines(plan: Plan, names: tuple[str, ...]) -> tuple[str, ...]:
    """The sealed plan of a profile, one sentence a line."""
    return tuple(_plan_lines(plan, names))


def _plan_lines(plan: Plan, names: tuple[str, ...]) -> Iterator[str]:
    yield f"Trials {', '.join(names)}, each smelt by itself, on {plan.medium}."
    for medium in plan.media:
        times = ", ".join(age_words(age.minutes) for age in plan.ages_on(medium))
        yield f"On skin {times} after application." if medium == SKIN else f"Strip ages {times}."
    for scale, how in _SCALES.items():
        named = [one.name for one in rated(plan) if one.scale == scale]
        if named:
            yield f"Rated {how}: {', '.join(named)}."
    again = " The same strip was smelt again at every age, under its old code." if plan.resmell else ""
    yield f"{count(plan.people, 'person', 'people')}, {count(plan.replicates, 'strip', 'strips')} of each trial.{again}"
    yield f"Descriptors in {'one order for all' if plan.descriptor_order == 'fixed' else 'an order drawn for each'}."
    if plan.warm_up:
        yield "One strip came before the others, to warm up; its answers do not count."
    yield f"Alpha risk {plan.alpha}, over every rating on points, every age and every two trials together."
    yield f"These leave the main analysis: {', '.join(plan.set_apart)}."
