"""Series and finals in sentences: what was sealed, what it costs, what it says so far, and what may not be claimed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Final

from evaluation.ground.tables_digits import significant
from evaluation.judging.adding_up import CAPPED, GAVE_UP, KEEP, OPEN, Added
from evaluation.judging.entries import (
    FIRST_PREFERRED,
    NO_PREFERENCE_SHOWN,
    NO_WORD,
    NOT_NOTICED,
    NOTICED,
    NOTICED_BUT_SMALL,
    SECOND_PREFERRED,
    UNDECIDED,
)
from evaluation.kinds import Method
from evaluation.planning.price_of_series import DEARER, Price
from evaluation.series import Final as FinalDesign
from evaluation.series import Series
from evaluation.series.finals import AGAIN, SIMPLER, HeldFinal
from evaluation.values.trials import sentence_case, trial_name
from evaluation.wording.of_ballots import method_name
from evaluation.wording.of_verdicts import called, count, percent, risk, speaks_for_words, verdict_name

Names = tuple[str, str]

ALTERED: Final = (
    "The log of this series or of one of its sittings was altered outside this app: nothing below can be relied on. "
    "Bring a backup back (page Backup), or begin anew."
)
KEEP_RULE: Final = (
    "Keep is proposed only when fresh answers of a final you named beforehand speak 25 to 1 for the trial (125 to 1 "
    "after one that failed), so at most one brief in twenty keeps a trial that is no better; it speaks for this panel."
)
AT_LARGE: Final = (
    "Of people at large nothing is claimed: the own tastes of these noses answer again and again. In simulated finals "
    "of trials that people at large like equally, one nose kept one in 18 of 100, five noses in 4 of 100."
)
SAME_ONE: Final = "This panel chose the same one again"
NOT_CLAIMED: Final = (
    "One in twenty is not claimed here: whoever votes again, or knows the formulas, may recognise the own choice. An "
    "indifferent nose that stays with its first vote four times in five gives a false keep in half of the finals it "
    "votes in alone."
)
ONLY_SERIES: Final = (
    "Answers add up over sittings only because this was sealed before the first of them; each sitting's orders are "
    "drawn by themselves. You may stop at any look, and a threshold that was reached at an allowed look stays reached."
)
ROUNDS: Final = (
    "Where people are named, only complete rounds are read for “not noticed”, “preferred” and finals: every named "
    "person has then answered equally often. Read anyhow, a fan who answers first gives a false “preferred” in 70 of "
    "100 series."
)


def sitting_line(title: str, sealed_hash: str) -> str:
    """Of a session that is a sitting: which series its answers count in."""
    return (
        f"A sitting of the series “{title}”, sealed under {sealed_hash[:12]}: its answers count there, and only there."
    )


# --- what was sealed --------------------------------------------------------------------------------------------------


def kind_words(series: Series) -> str:
    """ "a series", "a final"."""
    return "final" if series.kind.keeps else "series"


def question_words(series: Series, names: Names) -> str:
    """What is asked, in one line."""
    first, second = map(trial_name, names)
    design = series.design
    if isinstance(design, FinalDesign):
        trial, other = (first, second) if design.challenger == "first" else (second, first)
        return _ASKED[design.question].format(trial=trial, other=other)
    if series.plan.kind.votes:
        return f"Which of {first} and {second} is preferred"
    more = f": in which is {series.plan.descriptor} stronger" if series.plan.descriptor else ""
    return f"Whether {first} and {second} are told apart ({method_name(series.plan.method)}{more})"


_ASKED: Final = MappingProxyType(
    {
        "preferred": "Whether {trial} is preferred to {other}",
        "nearer": "Whether {trial} is nearer the brief than {other}",
        SIMPLER: "Whether {trial}, the simpler one, is told apart from {other} by few enough",
    }
)


def who_words(series: Series, people: int) -> str:
    """Who may take part."""
    if series.open_panel:
        return "Nobody is named: everybody is fresh and answers once in the whole series."
    return f"{count(people, 'person', 'people')} named beforehand; a changed panel starts a new series."


def rule_words(series: Series) -> Iterator[str]:
    """What must be reached, in plain words."""
    plan, design = series.plan, series.design
    if isinstance(design, FinalDesign):
        needed = float(design.multiple / plan.alpha)
        before = f", since {count(design.earlier, 'final', 'finals')} before failed" if design.earlier else ""
        yield f"Kept when the evidence reaches {odds(needed)}{before}; given up at more than 5 to 1 against."
        yield f"It ends after {design.cap} answers at the latest. One vote a nose and day."
        return
    alpha, beta = float(plan.alpha), float(plan.beta)
    yield f"Something shows when the evidence reaches {odds(1 / alpha)} (alpha risk {risk(alpha)})."
    if plan.kind.judged:
        few = f"“Not noticed” when the opposite evidence, that fewer than {percent(float(plan.pd))} notice, reaches"
        yield f"{few} {odds(1 / beta)} (beta risk {risk(beta)})."


def odds(evidence: float) -> str:
    """How loud evidence speaks: "25 to 1", "1 to 5.2", as people say it."""
    if evidence >= 1:
        return f"{_short(evidence)} to 1"
    return f"1 to {_short(1 / evidence)}" if evidence > 0 else "nothing at all"


def either_way(evidence: float) -> str:
    """The same where evidence below 1 speaks against what is asked: "5.2 to 1 against"."""
    return f"{_short(1 / evidence)} to 1 against" if 0 < evidence < 1 else odds(evidence)


def _short(number: float) -> str:
    return "more than a million" if number > 1e6 else significant(number, 3)


# --- the price --------------------------------------------------------------------------------------------------------


def price_words(price: Price, panel: int, sets: int, beta: float) -> Iterator[str]:
    """What it costs beside a fixed number, and which is the better buy for so many people and sets a sitting."""
    low, high = DEARER
    yield (
        "The price of looking as often as you like: to be as sure as a fixed number of answers that was rightly "
        f"chosen, a series takes {low} to {high} times as many."
    )
    if price.typical is not None and price.fixed is not None:
        yield _beside_fixed(price, beta)
    if price.quiet is not None:
        yield f"Where nobody can tell, half of all series end as “not noticed” within {price.quiet} answers."
    if price.fixed is not None:
        yield _better_buy(price.fixed, panel, sets)


def _beside_fixed(price: Price, beta: float) -> str:
    sure = percent(1 - beta)
    told = f"At the size you named a fixed plan takes {price.fixed} answers ({sure} sure to find it)."
    half = f"Half of all series find it within {price.typical}"
    if price.as_sure is None:
        return f"{told} {half}; to be {sure} sure takes more than 400."
    times = significant(price.as_sure / (price.fixed or 1), 2)
    return f"{told} {half}; to be {sure} sure takes {price.as_sure}, {times} times as many."


def method_words(strips: Sequence[tuple[Method, int]]) -> str:
    """What the choice of the method is worth, the fewest strips first."""
    listed = ", ".join(f"{number} by {method_name(method)}" for method, number in strips)
    return (
        f"The method matters most. Strips within which half of all series find this size: {listed or 'none in reach'}; "
        "2-AFC and 3-AFC need a quality you can name."
    )


def _better_buy(fixed: int, panel: int, sets: int) -> str:
    evening = panel * sets
    if evening >= fixed:
        return (
            f"Your people can give {evening} answers in one sitting, which is enough for the fixed number: where you "
            "are sure of the size, the ordinary session is the better buy."
        )
    return (
        f"Your people can give {evening} answers in one sitting, fewer than the {fixed} a fixed plan needs: a series "
        "is the better buy, since nothing smelt is lost and it ends early where much is there."
    )


def final_price_words(needed: float, votes: tuple[int | None, int | None], panel: int) -> str:
    """How many votes a final takes where 80 of 100 prefer the trial."""
    half, most = votes
    if half is None or most is None or not panel:
        return f"Needed: {odds(needed)}. Where 80 of 100 choices are for the trial that takes more than 400 votes."
    rounds = -(-half // panel)
    return (
        f"Needed: {odds(needed)}. Where 80 of 100 choices are for the trial, half of all finals end within {half} "
        f"votes and nine in ten within {most}: with {count(panel, 'person', 'people')}, one vote a day each, about "
        f"{count(rounds, 'day', 'days')} for the half."
    )


def before_words(before: Sequence[HeldFinal], needed: float) -> Iterator[str]:
    """Which finals make this one dearer: those that failed, and each that still runs with how far it is."""
    if not before:
        return
    running = [one for one in before if not one.over]
    over = len(before) - len(running)
    parts = [f"{over} failed"] * bool(over) + [f"{len(running)} still running"] * bool(running)
    yield f"Finals that count before this one: {', '.join(parts)}. Sealed now, it would need {odds(needed)}."
    for one in running:
        yield (
            f"{held_words(one)} still runs: {voted_words(one)}. Sealing another before it has ended costs five times "
            f"the evidence: {odds(needed)} instead of {odds(needed / AGAIN)} if that one ends in keep."
        )


def held_words(one: HeldFinal) -> str:
    """ "Final 2 (trial 2 against trial 1)"."""
    return f"Final {one.number} ({trial_name(one.trial)} against {trial_name(one.other)})"


def voted_words(one: HeldFinal) -> str:
    """How many have answered so far."""
    if one.people:
        return f"{one.voted} of {one.people} have voted"
    return f"{count(one.voted, 'person has', 'people have')} voted"


def price_tick(trial: str, other: str, needed: float) -> str:
    """What whoever seals a final says yes to."""
    return (
        f"I hold this final about {trial} against {other}. Sealed, it counts at once: unless it ends in keep, the next "
        f"final needs {odds(needed * AGAIN)} instead of {odds(needed)}."
    )


# --- what it says so far ----------------------------------------------------------------------------------------------


def series_word(added: Added, names: Names) -> str:
    """The word in large letters."""
    if added.word in _FINALS:
        return _FINALS[added.word]
    if added.word == NO_WORD:
        return "Nothing opened yet"
    return verdict_name(added.word, names)


_FINALS: Final[Mapping[str, str]] = MappingProxyType(
    {KEEP: "Keep", GAVE_UP: "Given up", CAPPED: "Ended at its cap", OPEN: "Still open"}
)


def series_lines(series: Series, added: Added, names: Names) -> Iterator[str]:
    """What the word says, the counts and the evidence behind it, whom it speaks for, and what one can do next."""
    last = added.last
    if last is None:
        yield "No sitting has been opened yet: seal and smell the first one."
        return
    yield _MEANS[added.word].format(**_filled(series, names))
    yield _counts(series, added, names)
    yield from _evidence(series, added, names)
    yield speaks_for_words(added.speaks_for, added.people)
    if added.again:
        votes = count(len(added.again), "vote", "votes")
        yield f"{votes} of the same nose on the same day left out: one vote a day counts."
    yield from _goes_on(series, added)


_MEANS: Final = MappingProxyType(
    {
        NOTICED: "{first} and {second} are told apart.",
        NOT_NOTICED: "Fewer than {pd} would notice, at beta risk {beta}.",
        NOTICED_BUT_SMALL: "They are told apart, and fewer than {pd} would notice: few noticers, not a faint "
        "difference.",
        UNDECIDED: "Neither is shown yet: not significant is never the same.",
        FIRST_PREFERRED: "{first} is preferred.",
        SECOND_PREFERRED: "{second} is preferred.",
        NO_PREFERENCE_SHOWN: "No preference is shown yet; this does not show that they are liked alike.",
        KEEP: "The answers of this final speak for {trial} against {other}.",
        GAVE_UP: "The answers speak against {trial}: the final is given up, and {trial} is not kept on it.",
        CAPPED: "The votes it was given are used up without reaching the threshold: {trial} is not kept on it.",
        OPEN: "The threshold is not reached yet.",
    }
)


def _filled(series: Series, names: Names) -> dict[str, str]:
    first, second = called(names)
    plan, design = series.plan, series.design
    trial, other = (first, second)
    if isinstance(design, FinalDesign) and design.challenger == "second":
        trial, other = second, first
    found = {"first": sentence_case(first), "second": second, "trial": trial, "other": other}
    return found | {"pd": percent(float(plan.pd)), "beta": risk(float(plan.beta))}


def _counts(series: Series, added: Added, names: Names) -> str:
    last = added.last
    assert last is not None
    whole = count(last.answers, "answer", "answers")
    by = count(added.people, "person", "people")
    if series.plan.kind.judged:
        return f"{last.first} of {whole} right, from {by}."
    first, second = called(names)
    ties = f", {last.ties} without a choice" if last.ties else ""
    return f"{last.first} of {whole} for {first}, {last.second} for {second}{ties}; from {by}."


def _evidence(series: Series, added: Added, names: Names) -> Iterator[str]:
    last = added.last
    assert last is not None
    if series.kind.keeps and 0 < last.evidence < 1:
        yield (
            f"The answers speak {_short(1 / last.evidence)} to 1 against {_filled(series, names)['trial']}; to keep it "
            f"they would have to speak {odds(added.needed)} for it."
        )
    else:
        yield f"Evidence now {either_way(last.evidence)}, needed {odds(added.needed)}."
    if last.mirror is not None and added.mirror_needed is not None:
        yield f"Opposite evidence, that few notice: {either_way(last.mirror)}, needed {odds(added.mirror_needed)}."
    if not last.whole:
        yield "This round is not complete: until every named person has answered equally often it decides nothing more."


def _goes_on(series: Series, added: Added) -> Iterator[str]:
    if added.word in (UNDECIDED, NO_PREFERENCE_SHOWN, OPEN):
        yield "You can go on with another sitting, or stop here; stopping claims nothing."
    elif series.kind.keeps:
        yield _KEPT_NEXT if added.word == KEEP else _FAILED_NEXT


_KEPT_NEXT: Final = "Before you keep it, wear it on skin for a day; then write the decision on the page Decision."
_FAILED_NEXT: Final = (
    "Go on from the other trial, or search again; another final of this brief needs five times as much."
)


def final_claims(added: Added, met_before: int, makers: int, without: Added | None) -> Iterator[str]:
    """What a final that speaks may claim, and what not."""
    memory = added.repeats or met_before or makers
    if memory:
        yield f"{SAME_ONE}. {' '.join(_why(added, met_before, makers))} {NOT_CLAIMED}"
    else:
        yield KEEP_RULE
    if without is not None:
        yield without_words(without)
    yield AT_LARGE


def without_words(without: Added) -> str:
    """How it stands without the votes of those who made what is smelt or know the formulas."""
    last = without.last
    told = "nobody else voted" if last is None or not last.answers else f"evidence {either_way(last.evidence)}"
    stands = (_FINALS.get(without.word) or verdict_name(without.word)).lower()
    return f"Without the answers of those who made it or know the formulas: {told} ({stands})."


def _why(added: Added, met_before: int, makers: int) -> Iterable[str]:
    if added.repeats:
        yield "Noses voted more than once."
    if met_before:
        yield f"{count(met_before, 'nose', 'noses')} had answered about these two elsewhere before."
    if makers:
        yield f"{count(makers, 'nose', 'noses')} made them or know the formulas."
