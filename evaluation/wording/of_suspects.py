"""Where an off-note comes from, in sentences: what is sealed, how each suspect stands, what is saved, what next."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Final

from evaluation.judging.suspecting import Suspected, Trace, TraceTold
from evaluation.series import OffNote, Series
from evaluation.values.trials import listed, sentence_case, trial_name
from evaluation.wording.of_series import odds
from evaluation.wording.of_verdicts import count, percent, risk

HOW: Final = (
    "Each suspect gets a bottle of its own: the whole trial without that one material, whose weight is made up with "
    "the concentrate’s own solvent. Noses smell the whole against such a bottle, blind, and say in which the note is "
    "stronger. Whoever cannot tell is right half the time, so evidence against a suspect comes only from answers that "
    "keep finding more of the note where it is."
)
NOT_CLEARED: Final = (
    "That a suspect does not stand out does not clear it: two together may make the note, or a third may hide it. And "
    "a bottle without a material lacks what that hid as well; whoever finds the whole stronger in everything may call "
    "it stronger in the note. So make sure with a bottle that holds less of it."
)
MIX: Final = (
    "Weigh the whole trial and all these bottles within one day of one another, from the same stocks and lots, by one "
    "weighing sheet, which stands here once the series is sealed; dilute all alike and let them stand alike. What is "
    "older or stronger is smelt too."
)
NAMES: Final = (
    "The names of the suspects stand in the sealed series, and so in its reports and exports; parts and formulas do "
    "not."
)

UNTOLD: Final = (
    "No ballot says which suspect it is about, but this page and the bench do: whoever has read it smells for that "
    "material, not for the note. So name yourself among those who know the formula, or let others smell."
)


LACKS: Final = MappingProxyType(
    {"mixed_on": "the day it was mixed", "diluted_on": "the day it was diluted", "strength_percent": "its strength"}
)
NOW_OR_NEVER: Final = (
    "Mix and dilute them, and write it into the trial book, before you seal: afterwards it cannot be written any more, "
    "and every report will say “not recorded”."
)


def needed_words(suspects: int, alpha: float) -> str:
    """What is asked of the evidence, with its plain meaning."""
    return (
        f"A suspect stands out when the evidence against it reaches {odds(suspects / alpha)}: {suspects} suspects "
        f"share the alpha risk of {risk(alpha)}, so that any innocent one is accused in at most {percent(alpha)} of "
        "such series, whoever is smelt next and however often you look."
    )


def question_of(series: Series, whole: str) -> str:
    """What the series asks."""
    return f"From which material of {trial_name(whole)} does “{series.plan.descriptor}” come"


def rules_of(series: Series) -> Iterator[str]:
    """What was sealed."""
    design, alpha = series.design, float(series.plan.alpha)
    assert isinstance(design, OffNote)
    yield f"Suspects: {listed(design.materials)}."
    yield needed_words(len(design.suspects), alpha)
    yield f"Each is asked about until {design.cap} answers of it count, at most; it ends as soon as one stands out."


def head_line(trace: Trace, note: str) -> str:
    """How it stands, first of all."""
    accused = [one.material for one in trace.accused]
    if accused:
        return f"“{sentence_case(note)}” comes from {listed(accused)}, as far as these bottles tell"
    first = trace.suspected[0]
    if trace.next_up and first.asked and first.evidence > 1:
        return f"Nobody stands out yet; {first.material} is suspected most"
    return "Nobody stands out yet" if trace.next_up else "Nobody stands out"


def without_words(trace: Trace, note: str) -> str:
    """How it stands without the answers of those who made the trial or know its formula."""
    told = head_line(trace, note) if trace.answers else "nobody else answered"
    return f"Without the answers of those who made it or know the formula: {told}."


def trace_lines(trace: Trace, whole: str, bench: Sequence[str] = (), after: str = "") -> tuple[str, ...]:
    """What stands behind it, what was saved, and what comes next.

    ``bench``: suspects whose sitting is sealed and not opened yet; ``after``: who comes if another is sealed now.
    """
    return tuple(_lines(trace, trial_name(whole), bench, after))


def _lines(trace: Trace, whole: str, bench: Sequence[str], after: str) -> Iterator[str]:
    yield from (suspect_line(one, trace.needed) for one in trace.accused)
    if trace.saved:
        yield (
            f"Stopped early: {count(trace.strips, 'strip', 'strips')} smelt, {trace.saved} saved against asking about "
            f"every suspect {trace.cap} times."
        )
    elif trace.answers:
        yield f"{count(trace.strips, 'strip', 'strips')} smelt so far."
    yield NOT_CLEARED
    yield _on_bench(whole, bench, after) if bench and trace.next_up else _next(trace, whole)


def _on_bench(whole: str, bench: Sequence[str], after: str) -> str:
    told = f"On the bench: {whole} against the bottle without {listed(bench)}."
    return f"{told} After it, if you seal another sitting now: {after}." if after else told


def unwritten_words(lacking: Mapping[str, Sequence[str]]) -> str:
    """What is not written down of the bottles of the next sitting, and that it is now or never."""
    each = "; ".join(f"{trial_name(name)}: {listed([LACKS[one] for one in lacks])}" for name, lacks in lacking.items())
    return f"Not written down yet of {each}. {NOW_OR_NEVER}"


def _next(trace: Trace, whole: str) -> str:
    accused = [one.material for one in trace.accused]
    if accused:
        return (
            f"What to do next: mix {whole} with less of {listed(accused)}, and smell that bottle against {whole} in a "
            "session of its own."
        )
    if trace.next_up:
        return f"Next to smell: {whole} against the bottle without {trace.next_up}."
    return "What to do next: suspect other materials, or two at once in one bottle, and seal another series."


def suspect_line(one: Suspected, needed: float) -> str:
    """ "Birch tar: the note stronger with it in 14 of 15 answers, evidence 240 to 1 (100 to 1 was asked)." """
    return (
        f"{sentence_case(one.material)}: the note stronger with it in {one.right} of "
        f"{count(one.asked, 'answer', 'answers')}, evidence {odds(one.evidence)} ({odds(needed)} was asked)."
    )


def standing(one: Suspected, first: bool) -> str:
    """How one suspect stands, in a table."""
    if one.accused:
        return "stands out"
    if not one.asked:
        return "not smelt yet"
    if one.evidence <= 1:
        return "nothing points to it"
    return "suspected most" if first else "suspected"


def evidence_words(told: TraceTold) -> str:
    """The whole of it in one paragraph, for where sessions stand side by side."""
    over = count(told.sittings, "sitting", "sittings")
    each = "; ".join(
        f"{one.material} {one.right} of {one.asked}, {odds(one.evidence)}" for one in told.trace.suspected if one.asked
    )
    return (
        f"Off-note “{told.note}” in {trial_name(told.whole)}, over {over}: {head_line(told.trace, told.note)} "
        f"({each}; {odds(told.trace.needed)} asked). {_next(told.trace, trial_name(told.whole))}"
    )
