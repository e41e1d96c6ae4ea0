"""Words of changes told apart: what to mix, what such bottles cannot tell, what each change did."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from types import MappingProxyType
from typing import Final

import pandas as pd

from evaluation.counting.changes_did import Did, reach, what_was_done
from evaluation.counting.profiles import ProfileFound
from evaluation.deciding.evidence import EffectsShown
from evaluation.formulas.separated import Bottles
from evaluation.ground.tables_digits import fixed
from evaluation.kinds import Separation
from evaluation.kinds.separation import FEWEST_BY_PERSON, analysed_by, together
from evaluation.planning.layouts import Proposal
from evaluation.sessions import Plan
from evaluation.statistics import EffectsOfChanges
from evaluation.values.trials import listed, sentence_case, trial_name
from evaluation.wording import of_profiles
from evaluation.wording.of_effect_sizes import size_lines
from evaluation.wording.of_profiles import age_words, plan_lines_after, signed
from evaluation.wording.of_verdicts import count, p_words, percent

WEIGHING: Final = MappingProxyType(
    {
        1: (
            "One bottle for each combination: what was off when it was weighed is inside the effect, and no number of "
            "noses takes it out. A second weighing of every combination halves its variance."
        ),
        2: (
            "Two weighings of each combination; each nose smells one of the two in a sitting, drawn for it. What was "
            "off in a weighing is still inside the effect, its variance halved."
        ),
    }
)
ONE_AT_A_TIME: Final = (
    "One at a time: each effect is that of the change by itself, on the base. What two changes do together is not seen."
)
TOGETHER: Final = (
    "“Together” means here what changes do only in each other’s company, over what each does by itself: not what they "
    "do added up."
)
_COMPANY: Final = MappingProxyType(  # by how few changes together look like one
    {
        2: (
            "What two of these changes do only in each other’s company, over what each does by itself, would be told "
            "as an effect of a third; where you expect that, mix all combinations."
        ),
        3: (
            "What three of these changes do only in each other’s company, over what they do singly and in twos, would "
            "be told as an effect of a fourth; that is usually small (common practice, no source)."
        ),
        0: (
            "Every change by itself is told; what some do only in each other’s company, over what each does by itself, "
            "is not told from what others do so."
        ),
    }
)
NEXT: Final = "Next: mix the bottle you would keep, and smell it against the base under a plan of its own."


# --- what to mix ------------------------------------------------------------------------------------------------------


def made_words(made: str, changes: tuple[str, ...]) -> str:
    """What a bottle holds: "the base", "cedar", "cedar and fig"."""
    held = [name for name, digit in zip(changes, made, strict=True) if digit == "1"]
    return listed(held) if held else "the base"


def alias_lines(separation: Separation) -> tuple[str, ...]:
    """What these bottles cannot tell, in words, each group in one sentence."""
    if separation.one_at_a_time:
        return (ONE_AT_A_TIME,)
    return _cannot_tell(separation.aliases()) or (
        "All combinations are there: every change, and every two or three together, are told apart.",
    )


def alias_sentence(separation: Separation) -> str:
    """The same as a perfumer reads it; what is told as what, exactly, is :func:`exact_aliases`."""
    if not exact_aliases(separation):
        return alias_lines(separation)[0]
    mains = [group for group in separation.aliases() if ":" not in group[0]]
    fewest = min((one.count(":") + 1 for group in mains for one in group[1:]), default=0)
    return _COMPANY[fewest]


def exact_aliases(separation: Separation) -> tuple[str, ...]:
    """Each group of :func:`alias_lines`; nothing where all combinations are there, or none of two changes."""
    return () if separation.one_at_a_time else _cannot_tell(separation.aliases())


def folded(lines: Iterable[str], separation: Separation) -> tuple[str, ...]:
    """The lines of a plan with one sentence in the place of every group that cannot be told apart."""
    exact = exact_aliases(separation)
    told = alias_sentence(separation)
    return tuple(dict.fromkeys(told if line in exact else line for line in lines))


def _cannot_tell(groups: Iterable[Iterable[str]]) -> tuple[str, ...]:
    return tuple(f"These bottles cannot tell {_from(group)}." for group in groups)


def _from(group: Iterable[str]) -> str:
    """ "cedar from fig and salt together"."""
    first, *others = map(together, group)
    return f"{first} from {', or from '.join(others)}"


def proposal_lines(found: Proposal, people: int) -> tuple[str, ...]:
    """Bottles, strips and sittings, what would be found and how that was worked out, and what cannot be told.

    What looks like what, exactly, is :func:`exact_aliases`.
    """
    if found.refused or found.separation is None:
        return (found.refused,)
    return tuple(_proposal(found, found.separation, people))


def _proposal(found: Proposal, separation: Separation, people: int) -> Iterator[str]:
    yield _work(found)
    if separation.in_blocks:
        rarest, most = found.met
        even = f"{rarest} times" if rarest == most else f"{rarest} to {most} times"
        yield (
            f"Served in blocks of {separation.strips_a_sitting}: each nose smells every combination in "
            f"{count(separation.sittings_a_round, 'sitting', 'sittings')}, and over the panel any two meet in a "
            f"sitting {even}. How a nose rates one sitting higher than another adds to the scatter."
        )
    if found.size is not None:
        yield from size_lines(found.size, people, _tests(separation, found.size.rows))
    yield alias_sentence(separation)
    yield WEIGHING[separation.weighings]


def _tests(separation: Separation, rows: int) -> str:
    """What the number of tests is made of: "6 changes, each in 2 ratings: 1 word at 2 ages"."""
    pairs = len(separation.effects) - len(separation.changes)
    what = count(len(separation.changes), "change", "changes")
    both = f"{what} and {count(pairs, 'pair', 'pairs')} of them" if pairs else what
    each = count(rows // len(separation.effects), "rating", "ratings")
    return f"tested ({both}, each in {each}: every descriptor, and strength where it is asked, at every age)"


def _work(found: Proposal) -> str:
    strips = f"{count(found.strips_a_sitting, 'strip', 'strips')} a nose and sitting"
    sittings = count(found.sittings, "sitting", "sittings")
    return f"{found.bottles} bottles; {strips}, {sittings} each, {found.strips_each} strips each in all."


def solvent_line(made: Bottles) -> str:
    """What an absent change is replaced by, and what that does to the rest."""
    told = f"Each absent change is replaced by its weight of {made.solvent.name}, so no other line’s share rises."
    if made.room:
        return f"{told} All changes find room in the solvent of the base: the bottle without any is the base as it is."
    return (
        f"{told} The base has too little of it to give way, so every bottle is thinner by what all changes add, alike: "
        "the bottle without any is the base, made up."
    )


def unlike_line(line: str, bottles: int, of: int) -> str:
    """What besides the changes could be smelt, told of so many of the bottles against the base."""
    return f"Between the base and {bottles} of {of} bottles: {line}"


# --- the sealed plan --------------------------------------------------------------------------------------------------


def plan_lines(plan: Plan, separation: Separation, names: tuple[str, ...]) -> tuple[str, ...]:
    """The sealed plan of a session that separates changes, one sentence a line."""
    return tuple(_plan_lines(plan, separation, names))


def _plan_lines(plan: Plan, separation: Separation, names: tuple[str, ...]) -> Iterator[str]:
    yield f"Changes told apart: {listed(separation.changes)}."
    held = (
        f"{trial_name(name)}: {made_words(one, separation.changes)}"
        for name, one in zip(names, separation.made, strict=True)
    )
    yield f"Bottles: {'; '.join(held)}."
    yield from alias_lines(separation)
    if separation.likely:
        yield f"Held likely before sealing: {listed(map(together, separation.likely))}."
    yield (
        f"{count(plan.people, 'person', 'people')}, {count(plan.replicates, 'sitting', 'sittings')} each of "
        f"{count(plan.sets_a_round, 'bottle', 'bottles')}."
    )
    if plan.replicates > 1:
        yield (
            "Between two sittings a nose rests long, or comes another day (our proposal); a timetable of the bench "
            "lays the blocks of one day one after another at each age, with its own breaks."
        )
    yield from plan_lines_after(plan)
    yield WEIGHING[separation.weighings]
    yield f"Effects tested: {listed(map(together, separation.effects))}. {_signs(plan)}"


def _signs(plan: Plan) -> str:
    if analysed_by(plan.people) == "person":
        return (
            "Each person’s own contrast, exact sign flips by person; one family over effects, descriptors and ages, at "
            f"alpha risk {plan.alpha:f} (the chance that any is shown where none is)."
        )
    return (
        "Signs are turned over each person’s pairs of bottles that differ in one change alone; over descriptors and "
        f"ages the largest, over changes Holm, at alpha risk {plan.alpha:f} (the chance that any is shown where none "
        "is)."
    )


# --- of any session of ratings ----------------------------------------------------------------------------------------


def told_of(found: ProfileFound, *, everything: bool = False) -> tuple[str, ...]:
    """What a session of ratings says: of separated changes their effects, else what moved between its trials."""
    own = of_profiles.summary_lines if found.separation is None else summary_lines
    return own(found, everything=everything)


def caveats_of(found: ProfileFound) -> tuple[str, ...]:
    """What it does not say."""
    own = () if found.separation is None else caveats(found, found.separation)
    return (*own, *of_profiles.caveats(found))


# --- what was found ---------------------------------------------------------------------------------------------------


def summary_lines(found: ProfileFound, *, everything: bool = False) -> tuple[str, ...]:
    """One sentence for each effect, then what is described only; ``everything``: of all answers, none left out."""
    told = (found.all_effects if everything else None) or found.effects
    if told is None:
        return ("Nobody rated a bottle, so no effect can be told.",)
    effects = tuple(dict.fromkeys(told.table["effect"]))
    return (*(effect_line(found, told, one) for one in effects), *_outside(told))


def effect_line(found: ProfileFound, told: EffectsOfChanges, effect: str) -> str:
    """What one change, or two together, did."""
    shown = what_was_done(told, found.alpha, effect)
    name, rows = sentence_case(_called(effect)), told.table[told.table["effect"] == effect]
    if not rows["in_family"].any():
        return f"{name}: described only; {_largest(rows)}."
    bound = reach(told, effect, tuple(one.descriptor for one in shown))
    if not shown:
        return f"{name}: no effect was shown{_within(bound, found.level, 'no descriptor')}."
    did = "; ".join(did_words(one, found.alpha) for one in shown)
    return f"{name}: {did}{_within(bound, found.level, 'no other descriptor')}."


def _called(effect: str) -> str:
    """What two changes do together is what they do beyond each by itself."""
    return f"{together(effect)}, beyond what each does" if ":" in effect else effect


def did_words(one: Did, alpha: float) -> str:
    """ "more woody at 5 min and 1 h (+1.2 to +1.6, family p at most .010)"."""
    more = f"{'more' if one.up else 'less'} {one.descriptor}"
    low, high = (signed(pick(one.estimates, key=abs)) for pick in (min, max))
    p = p_words(one.p_family, alpha, at_most=len(one.ages) > 1)
    return f"{more} at {listed(map(age_words, one.ages))} ({low if low == high else f'{low} to {high}'}, family {p})"


def _within(bound: float | None, level: float, what: str) -> str:
    """How far what was not shown may reach; rounded up, so that it stays true; an endless interval is said."""
    if bound is None:
        return ""
    if math.isinf(bound):
        return f"; how far {what.removeprefix('no ')} may have moved cannot be said: too few signs for an interval"
    most = fixed(math.ceil(bound * 10 - 1e-9) / 10, 1)
    return f"; {what} moved beyond ±{most} points ({percent(level)} intervals, each by itself)"


def _largest(rows: pd.DataFrame) -> str:
    there = rows.dropna(subset=["estimate"])
    if there.empty:
        return "nobody’s bottles give it"
    top = there.loc[there["estimate"].abs().idxmax()]
    moved = signed(float(top["estimate"]))
    return f"the largest difference is {moved} in {top['descriptor']} at {age_words(float(top['age_minutes']))}"


def _outside(told: EffectsOfChanges) -> Iterator[str]:
    few = told.table[~told.table["in_family"]]
    if few.empty:
        return
    what = "people" if told.by == "person" else "pairs of bottles"
    most = int(few["flipped"].max())
    yield (
        f"{len(few)} of {len(told.table)} rows rest on fewer than {FEWEST_BY_PERSON} {what} (at most {most}): "
        "described, with no p and no interval, because so few signs cannot reach a p of .05. Ask more people, or smell "
        "the bottles again."
    )


def caveats(found: ProfileFound, separation: Separation) -> tuple[str, ...]:
    """What these effects do not say."""
    return tuple(_caveats(found, separation))


def _caveats(found: ProfileFound, separation: Separation) -> Iterator[str]:
    yield from alias_lines(separation)
    yield WEIGHING[separation.weighings]
    if analysed_by(found.plan.people) == "pairs":
        yield (
            "It speaks for this panel and these bottles: it takes all else about two bottles that differ in one change "
            "to be alike but for chance, the weighing of each included."
        )
    else:
        yield "The p of the family is exact for “each person’s effect is as likely with its sign turned”."
    left = 0 if found.effects is None else int(found.effects.table["left_out"].max())
    if left:
        yield f"Up to {count(left, 'person', 'people')} smelt too few bottles to give an effect, and stand outside it."
    if separation.interactions:
        yield "Two changes together: the mean where both or neither is made, less the mean where one of them is."
    yield "No effect shown is not no effect: the bound says how far it may reach."
    yield NEXT


def effects_line(found: EffectsShown) -> str:
    """What a session showed of separated changes, beside the evidence about trials."""
    told = [f"{_called(one.effect)}: {did_words(one, found.alpha)}" for one in found.shown]
    if found.unshown:
        told.append(f"no effect was shown of {listed(map(together, found.unshown))}")
    if found.described:
        told.append(f"{listed(map(together, found.described))} described only, by too few signs to test anything")
    whom = "this panel" if found.by == "person" else "this panel and these bottles"
    return f"Changes told apart, for {whom}: {'; '.join(told)}. It is of changes, not of two trials. {NEXT}"
