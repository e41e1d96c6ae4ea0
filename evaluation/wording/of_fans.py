"""A fan of two strips in words: what it is, what must be the same of all second strips, and the bottle to mix."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Final

from evaluation.counting.fans import Candidate, FanFound
from evaluation.ground.tables_digits import significant
from evaluation.serving.dipping import SECONDS_PER_PAIR, span, youngest_of_pairs
from evaluation.values.trials import listed, sentence_case, trial_name
from evaluation.wording.of_verdicts import count

NO_MIXTURE: Final = (
    "A fan is no mixture: two papers give off their smells beside one another, and in one bottle a material lasts "
    "otherwise, hides or lifts others. What is said here is said of two strips; only a bottle says it of a scent."
)
BLANK: Final = (
    "Under one code, drawn like the others, lies the trial alone. Its second strip is dipped in the solvent and in "
    "nothing else, by the same hand, to the same line, so that it is as wet, as long and as white as the rest. So "
    "dilute every candidate in that one solvent, of one lot. What colours paper or leaves an oily edge is seen all the "
    "same: dilute it further, or smell in dim coloured light."
)
CARE: Final = (
    "Handle each material as its safety document says: gloves, fresh air, no flame near a solvent; never neat under a "
    "nose, and nothing of it on skin. Before the first strip ask each person about allergies, asthma and migraine by a "
    "longer list than what you serve, so that asking tells nothing. Follow your local rules and licensed advice; this "
    "page gives none."
)
WHICH_DILUTION: Final = (
    "Which dilution: as much of the material as the trial would hold. Percent of the trial’s solution × parts meant in "
    "100 parts of its concentrate ÷ 100: for 2 parts in a trial smelt at 15 %, a strip of 0.3 %."
)


def pairs_dipped(pairs: int) -> str:
    """What one pair of hands can keep of so many pairs, and the youngest strip age it leaves."""
    apart, youngest = (pairs - 1) * SECONDS_PER_PAIR, youngest_of_pairs(pairs)
    return (
        f"Labels go on before the first dip, clips after the last. Both strips of a pair are dipped at once, the "
        f"{pairs} pairs one after the other, about {SECONDS_PER_PAIR} s each: {apart} s from the first to the last. "
        f"That is to be 10 % of the strip age at most, so smell them at {span(youngest)} or later."
    )


def one_part(trial: str, strength: Decimal) -> str:
    """The percent of one part in 100, for who thinks in parts."""
    told = f"{(strength / 100).normalize():f}"
    return f"{sentence_case(trial_name(trial))} is smelt at {strength.normalize():f} %: each part in 100 is {told} %."


def parts_words(name: str, parts: float, trial: str, strength: str) -> str:
    """What a second strip stands for, told where its percent is typed."""
    return (
        f"{name}: one strip carries what {significant(parts, 3)} parts of it to 100 parts of the concentrate of "
        f"{trial_name(trial)} would carry at {strength} %."
    )


def fan_lines(found: FanFound) -> tuple[str, ...]:
    """The bottle to mix, or that none is asked for; first of all that a fan is no mixture."""
    return (NO_MIXTURE, *_next(found))


def evidence_line(found: FanFound) -> str:
    """The same in one paragraph, for where sessions stand side by side."""
    told = "; ".join(_people(one) for one in found.candidates)
    return f"A fan beside {trial_name(found.trial)}, against it alone: {told}. {' '.join(_next(found))}"


def _people(one: Candidate) -> str:
    shown = "preferred" if one.shown else "not shown to be preferred"
    return f"{one.name} {shown} ({one.for_it} of {count(one.people, 'person', 'people')})"


def _next(found: FanFound) -> Iterator[str]:
    trial = trial_name(found.trial)
    better = [one for one in found.candidates if one.shown]
    for one in better:
        yield f"Bottle to mix: {trial} with {one.material} in it{_amount(one, found)}. {_then(trial)}"
    if better:
        return
    liked = [one for one in found.candidates if one.liked]
    if not liked:
        yield (
            f"No bottle is proposed: no candidate was put before {trial} alone by more people than behind. Try others, "
            "or these at a tenth of their strength."
        )
        return
    first = [one for one in liked if one.for_it - one.for_alone == liked[0].for_it - liked[0].for_alone]
    named = listed(one.name for one in first)
    votes = f"{first[0].for_it} of {count(first[0].people, 'person', 'people')}"
    yield (
        f"No candidate is shown to be preferred to {trial} alone. Most put {named} before it ({votes}), which "
        f"chance may have done. If you mix one bottle: {trial} with {first[0].material} in it"
        f"{_amount(first[0], found)}. {_then(trial)}"
    )


def _amount(one: Candidate, found: FanFound) -> str:
    if one.parts is None or found.strength is None:
        return f" (write the strength of {trial_name(found.trial)} into the trial book, and the parts are reckoned)"
    return (
        f", to begin with {significant(one.parts, 3)} parts to 100 parts of its concentrate in place of as much "
        f"solvent: what one strip carried beside a strip at {significant(found.strength, 4)} %"
    )


def _then(trial: str) -> str:
    return f"{sentence_case(trial)} against that bottle, blind, is what decides."
