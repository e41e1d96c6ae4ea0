"""What a profile found, in sentences: what moved, when, by how much; how strength falls; words, levels, people."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Final

from evaluation.counting.profiles import Came, Move, ProfileFound, furthest, moves
from evaluation.deciding.claims import Apart, least_p, partings
from evaluation.ground import tables_digits
from evaluation.ground.tables_digits import fixed, with_minus
from evaluation.kinds import Profile
from evaluation.serving.asking import LIKING_NAME, STRENGTH_NAME, rated
from evaluation.sessions import SKIN, STRIP, Plan
from evaluation.statistics import (
    CheckAll,
    CheckedPair,
    JustAboutRight,
    JustRightRow,
    JustRightSide,
    PairDecay,
    PanelistOverall,
    ProfileDifferences,
    Stretch,
    TrialDecay,
)
from evaluation.values.descriptors import Descriptor
from evaluation.values.scales import ByScale, scale_names, scales
from evaluation.values.trials import listed, sentence_case, trial_name
from evaluation.wording.of_ballots import rating_ends
from evaluation.wording.of_verdicts import count, none_counted, on_media, p_words, percent, sealed_risk

MOST_AGES: Final = 4  # named one by one
FEWEST_IN_FAMILY: Final = 6
_MORE: Final = {STRENGTH_NAME: ("stronger", "weaker"), LIKING_NAME: ("liked more", "liked less")}
# Beside the mixed model, wherever its table stands.
MODEL: Final = (
    "Each rating by itself: do the trials differ, do the ages, and does what the trials differ by change with the age "
    "(trial × age)? F tells how many times larger that is than how people differ in it, df are its degrees of freedom; "
    "where such a spread came out as 0, both are reckoned without it. Ratings of fewer than six people are described: "
    "no p is given. What moved is taken from the family of comparisons, not from here."
)
_SPREADS: Final = MappingProxyType(
    {
        "panelist": "how people differ",
        "panelist:trial": "how people differ in the trials",
        "panelist:age": "how people differ in the ages",
        "panelist:trial:age": "how people differ in the trials at each age",
        "residual": "the scatter of single ratings",
    }
)
NOT_THE_SAME: Final = (
    "What was not shown to move is not shown to be the same: the bound says how far it may have moved, by its own "
    "interval."
)


# --- the mixed model ----------------------------------------------------------------------------------------------


def model_lines(found: ProfileFound) -> tuple[str, ...]:
    """What the numbers of the mixed model are, and what of them holds in every row of its table."""
    notes = set() if found.model is None else set(found.model.variances["note"])
    (only,) = notes if len(notes) == 1 else ("",)
    return (MODEL, *([f"In every row: {note_words(only)}."] if only else []))


def note_words(note: str) -> str:
    """A note of the model in words: what it could not tell apart, or why it was not fitted."""
    return "; ".join(_untold(one) for one in note.split("; "))


def _untold(note: str) -> str:
    names = note.split(" cannot be told from ")
    return " cannot be told apart from ".join(_SPREADS[name] for name in names) if len(names) > 1 else note


# --- what moved ---------------------------------------------------------------------------------------------------


def summary_lines(found: ProfileFound, *, everything: bool = False) -> tuple[str, ...]:
    """One sentence for each two trials, then what is described only; ``everything``: of all answers, none left out."""
    family = (found.all_differences if everything else None) or found.differences
    if family is None:
        return (_nothing_to_compare(found),)
    return (*(_pair_line(found, family, *pair) for pair in family.pairs), *_outside(family))


def _nothing_to_compare(found: ProfileFound) -> str:
    """With the cause, where strips came in and every one was left out."""
    if any(one.counted for one in found.came) or not any(one.came_in for one in found.came):
        return "No two trials were rated on points: there is nothing to compare."
    lost: Counter[str] = Counter()
    for one in found.came:
        lost.update(dict(one.left_out))
    return f"There is nothing to compare: {none_counted(sum(c.planned for c in found.came), lost.items(), 'strips')}."


def _pair_line(found: ProfileFound, family: ProfileDifferences, first: str, second: str) -> str:
    shown = moves(family, found.alpha, first, second)
    moved = tuple(dict.fromkeys(one.descriptor for one in shown))
    bound = furthest(family, first, second, moved)
    told = "; ".join(move_words(one, found.alpha, full=place == 0) for place, one in enumerate(shown))
    if not shown:
        return unmoved_words((first, second), bound, found.level)
    rest = _rest(bound, found.level, some=True)
    return f"{told}{'; ' if rest else ''}{rest}."


def unmoved_words(names: tuple[str, str], bound: float | None, level: float) -> str:
    """How far nothing was shown to move between two trials; ``bound`` is the largest end of an interval, if any."""
    return f"{sentence_case(trial_name(*names))}: {_rest(bound, level, some=False)}."


def move_words(move: Move, alpha: float, *, full: bool = True) -> str:
    """ "Trial 8 is more woody than trial 7 at 5 min and 1 h (+1.6, family p at most .010)"."""
    more = more_words(move)
    who = f"{sentence_case(trial_name(move.second))} is {more} than {trial_name(move.first)}" if full else more
    p = p_words(move.p_family, alpha, at_most=len(move.differences) > 1)
    return f"{who} {when(move)} ({_by(move.differences)}, family {p})"


def more_words(move: Move) -> str:
    """What the second trial is against the first: "more woody", "weaker"."""
    return _MORE.get(move.descriptor, (f"more {move.descriptor}", f"less {move.descriptor}"))[not move.up]


def when(move: Move) -> str:
    """The ages at which it is shown, as they were smelt: "at 5 min and 1 h"; nothing is said of the time between."""
    every = "every age smelt" if move.from_start and move.to_end and len(move.ages) > 1 else ""
    if len(move.ages) > MOST_AGES:
        return f"at {every or f'all {len(move.ages)} ages smelt'} from {age_words(move.ages[0])} to {_last(move)}"
    named = listed(map(age_words, move.ages))
    return f"at {every}, {named}" if every else f"at {named}"


def _last(move: Move) -> str:
    return age_words(move.last_age)


def age_words(minutes: float) -> str:
    """5 min, 1 h, 1 d; whole units only, else minutes."""
    for size, unit in ((1440, "d"), (60, "h")):
        if minutes >= size and minutes % size == 0:
            return f"{minutes / size:g} {unit}"
    return f"{minutes:g} min" if minutes >= 1 else f"{minutes * 60:g} s"


def _by(differences: tuple[float, ...]) -> str:
    low, high = signed(min(differences, key=abs)), signed(max(differences, key=abs))
    return low if low == high else f"{low} to {high}"


def signed(number: float) -> str:
    """+1.6, −0.4; a second decimal where one would say 0."""
    digits = 1 if abs(number) >= 0.05 or number == 0 else 2
    return tables_digits.signed(number, digits) if number else "0.0"


def _rest(bound: float | None, level: float, *, some: bool) -> str:
    """How far what was not shown to move may have moved."""
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
    return f"{nothing} moved beyond ±{bound_words(bound)} ({percent(level)} intervals, each by itself)"


def bound_words(bound: float) -> str:
    """How far something may have moved, rounded up, so that it stays true: "0.7"."""
    return fixed(math.ceil(bound * 10 - 1e-9) / 10, 1)


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
    name = sentence_case(trial_name(trial.trial))
    if trial.censored == "right":
        said = f"{name} is still above {threshold:g} at the last age, {age_words(trial.time_above)}"
    elif trial.censored == "left":
        said = f"{name} is not above {threshold:g} at the first age already, {age_words(trial.time_above)}"
    else:
        said = f"{name} falls to {threshold:g} at about {_about(trial.time_above)}"
    return f"{said} ({trial.reason or _interval(trial.low, trial.high)})."


def parting_lines(found: ProfileFound, pair: PairDecay) -> tuple[str, ...]:
    """Where one of two trials is shown the stronger, and how its fitted curve lies around; no time of what is not."""
    told = tuple(parting_words(one) for one in partings(found, pair) if one.may_be_told)
    least = least_p(found, pair)
    if told or not pair.stretches or least is None:
        return told
    return (no_parting_words((pair.first, pair.second), least, found.alpha),)


def parting_words(one: Apart) -> str:
    """Where one trial is shown the stronger; only of a stretch of which a time may be told."""
    shown = f"{listed(map(age_words, one.shown_at))} ({_family(one.p_family, len(one.shown_at))})"
    return (
        f"Strength: {trial_name(one.stretch.stronger)} is shown stronger than {trial_name(one.weaker)} at {shown}; its "
        f"fitted curve lies above {_from(one.stretch)} {_until(one.stretch)}."
    )


def no_parting_words(names: tuple[str, str], least: float, alpha: float) -> str:
    """That no age shows two trials apart in strength; ``least`` is the smallest family p."""
    return (
        f"Strength: {trial_name(*names)} are not shown to differ at any age (family {p_words(least, alpha)} at the "
        "least), so no time is told at which their curves part or cross."
    )


def _family(p_family: float, ages: int) -> str:
    return f"family {p_words(p_family, 1.0, at_most=ages > 1)}"


def _from(one: Stretch) -> str:
    if one.since_censored:
        return f"from the first age, {_about(one.since)},"
    return f"from about {_about(one.since)} ({_interval(one.since_low, one.since_high)})"


def _until(one: Stretch) -> str:
    gap = ", with a gap between" if one.pieces > 1 else ""
    if one.until_censored:
        return f"to the last, {_about(one.until)}{gap}"
    return f"until about {_about(one.until)} ({_interval(one.until_low, one.until_high)}){gap}"


def _interval(low: float, high: float) -> str:
    if math.isinf(high):
        return f"interval from {_about(low)} to beyond the last age" if low else "the interval has no bounds"
    return f"interval {_about(low)} to {_about(high)}"


def _about(minutes: float) -> str:
    """Minutes up to two hours, then hours with one decimal."""
    return f"{fixed(minutes, 0)} min" if minutes < 120 else f"{fixed(minutes / 60, 1).removesuffix('.0')} h"


# --- words to check, levels -------------------------------------------------------------------------------------


def checked_line(pair: CheckedPair, alpha: float) -> str:
    """How many checked a word for one of two trials only, and whether that differs."""
    return (
        f"{pair.descriptor}, {age_words(pair.age_minutes)}: {count(pair.second_only, 'person', 'people')} only for "
        f"{trial_name(pair.second)}, {pair.first_only} only for {trial_name(pair.first)} (of {pair.panelists}; family "
        f"{p_words(pair.p_family, alpha)})."
    )


def level_line(row: JustRightRow) -> str:
    """Counts, and what those who found it off think of the trial: an association."""
    sides = ", ".join(
        f"{side.people} {word}"
        for word, side in (("too weak", row.weak), ("right", row.right), ("too strong", row.strong))
    )
    liked = "".join(_liked(word, side) for word, side in (("too weak", row.weak), ("too strong", row.strong)))
    about = f"{row.descriptor} of {trial_name(row.trial)}, {age_words(row.age_minutes)}"
    return f"{about}: {sides}, of {row.panelists}.{liked}"


def _liked(word: str, side: JustRightSide) -> str:
    if side.liked_less is None or side.liked_less_low is None or side.liked_less_high is None:
        return ""
    less = f"{fixed(abs(side.liked_less), 1)} {'less' if side.liked_less >= 0 else 'more'}"
    limits = f"{signed(-side.liked_less_high)} to {signed(-side.liked_less_low)}"
    return f" Liked {less} by those who said {word} ({limits}): an association."


# --- scales, and what is counted on them ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleWords:
    """How a scale is named: ``name`` where it is chosen, ``many`` of them in a sentence, ``how`` something is rated."""

    name: str
    many: str
    how: str


SCALES: Final[ByScale[ScaleWords]] = ByScale(
    "words",
    {
        "line": ScaleWords(name="Line from 0 to 10, without marks", many="lines", how="on a line of 0 to 10"),
        "category": ScaleWords(name="Numbers from 0 to 9", many="numbers", how="in categories 0 to 9"),
        "check": ScaleWords(name="Tick if it is there", many="ticks", how="to check if they apply"),
        "level": ScaleWords(name="Too weak, right, too strong", many="levels", how="as too weak, right or too strong"),
    },
)


@dataclass(frozen=True, slots=True, kw_only=True)
class CountWords:
    """How what was counted of one family is told.

    ``title``, ``short``: its heading on the page, and in the report; ``about``: what is said below it. ``file``: the
    name of its table. ``lines``: what was counted and the sealed alpha → a sentence each.
    """

    title: str
    short: str
    about: str
    file: str
    lines: Callable[[Any, float], Iterable[str]]


def _checked_lines(found: CheckAll, alpha: float) -> Iterator[str]:
    return (checked_line(one, alpha) for one in found.pairs)


def _level_lines(found: JustAboutRight, alpha: float) -> Iterator[str]:
    return map(level_line, found.rows)


COUNTS: Final[ByScale[CountWords]] = ByScale(
    "words for what is counted",
    {
        "checked": CountWords(
            title="Words checked",
            short="Words to check",
            about="People who checked a word for one of two trials only; the others do not tell the two apart. One "
            "family of its own (Holm).",
            file="words",
            lines=_checked_lines,
        ),
        "levels": CountWords(
            title="Too weak, right, too strong",
            short="Levels",
            about="Counts of people.",
            file="levels",
            lines=_level_lines,
        ),
    },
)


def what_is_tested() -> str:
    """On which scales differences are tested, and which are counted."""
    tested = listed(SCALES.of(one.name).many for one in scales() if one.on_points)
    counted = listed(SCALES.of(one.name).many for one in scales() if not one.on_points)
    return f"Differences are tested on {tested}; {counted} are counted."


# --- people -----------------------------------------------------------------------------------------------------


def person_lines(one: PanelistOverall) -> tuple[str, ...]:
    """What to talk over with one panelist; no grade."""
    return tuple(line for line in (_shift(one), _width(one), _again(one), _along(one), _apart(one)) if line)


def _shift(one: PanelistOverall) -> str:
    if one.shift is None:
        return "Nobody else rated the same strips."
    if abs(one.shift) < 0.05:
        return "Rates as high as the others."
    return (
        f"Rates {fixed(abs(one.shift), 1)} points {'higher' if one.shift > 0 else 'lower'} than the others, on average."
    )


def _width(one: PanelistOverall) -> str:
    return (
        ""
        if one.spread_ratio is None
        else f"Uses {fixed(one.spread_ratio, 1)} times the width of the scale others use."
    )


def _again(one: PanelistOverall) -> str:
    if one.repeatability is None:
        return "No strip was smelt twice: how well the answers repeat cannot be said."
    return f"Repeats within {fixed(one.repeatability, 1)} points (standard deviation of replicates)."


def _along(one: PanelistOverall) -> str:
    if one.agreement is None:
        return "Too few strips shared with others to say how far they agree."
    told = with_minus(fixed(one.agreement, 2))
    return f"Correlation with the mean of the others {told}, the middle over what was rated."


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
    apart = "".join(f", {number} “{said}”" for said, number in came.apart)
    return (
        f"{age_words(came.age_minutes)}: {came.came_in} of {count(came.planned, 'strip', 'strips')} rated{left}; "
        f"{count(came.ratings, 'answer', 'answers')}, {came.not_smelt} “not smelt”, {came.skipped} skipped{apart}."
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
    if found.separation is None:
        yield NOT_THE_SAME
        yield (
            "The p of the family is exact for “each person would rate the two alike but for chance”; where people fall "
            "into camps look at their dots."
        )
    differences = found.differences
    if differences is not None and not differences.exact:
        yield f"The p rest on {differences.patterns:,} drawn patterns of signs, not on all of them.".replace(",", " ")
    apart = "".join(f", “{said}”" for said in dict.fromkeys(said for one in found.came for said, _ in one.apart))
    if apart or any(one.not_smelt + one.skipped for one in found.came):
        yield f"“Not smelt”{apart} and skipped answers are missing, never 0; people seldom miss at random."


# --- what was sealed --------------------------------------------------------------------------------------------


def plan_lines(plan: Plan, names: tuple[str, ...]) -> tuple[str, ...]:
    """The sealed plan of a profile, one sentence a line."""
    return tuple(_plan_lines(plan, names))


def _plan_lines(plan: Plan, names: tuple[str, ...]) -> Iterator[str]:
    yield f"{sentence_case(trial_name(*names))}, each smelt by itself, {on_media(plan.media)}."
    yield from _asked_lines(plan)
    strips = count(plan.replicates, "strip", "strips")
    yield f"{count(plan.people, 'person', 'people')}, {strips} of each trial.{_at_later_ages(plan)}"
    yield from _order_lines(plan)
    yield f"Alpha risk {sealed_risk(plan.alpha)}, over every rating on points, every age and every two trials together."


def plan_lines_after(plan: Plan) -> tuple[str, ...]:
    """What is rated and in which order, of a plan whose trials are told elsewhere."""
    return (*_asked_lines(plan), *filter(None, [_at_later_ages(plan).strip()]), *_order_lines(plan))


def _asked_lines(plan: Plan) -> Iterator[str]:
    for scale in scale_names():
        named = [_with_ends(one) for one in rated(plan) if one.scale == scale]
        if named:
            yield f"Rated {SCALES.of(scale).how}: {', '.join(named)}."


def _order_lines(plan: Plan) -> Iterator[str]:
    alike = Profile.of(plan).descriptor_order == "fixed"
    yield f"Descriptors in {'one order for all' if alike else 'an order drawn for each'}."
    if plan.design.warm_up:
        yield "One strip before the others, to warm up; its answers do not count."


def _with_ends(one: Descriptor) -> str:
    """A word with the words at the ends of its scale."""
    low, high = rating_ends(one.name, one.scale, one.low, one.high)
    return f"{one.name} (“{low}” to “{high}”)" if low or high else one.name


def _at_later_ages(plan: Plan) -> str:
    if plan.design.resmell:
        return " The same strip again at every age, under its old code."
    return " Fresh strips under new codes at every age." if len(plan.ages) > 1 and STRIP in plan.media else ""
