"""An entry's numbers in words, and what must be said beside a verdict. Knows no screen."""

from __future__ import annotations

import math
from collections.abc import Iterable

from parts import typed_values as typed

from evaluation import wording
from evaluation.actions.two_findings import TwoFindings, TwoFound
from evaluation.counting.questions import Loss
from evaluation.judging.entries import (
    CHECK_THE_KEY,
    FIRST_PREFERRED,
    NO_PREFERENCE_SHOWN,
    NO_WORD,
    OF_A_SERIES,
    POOLED,
    REVERSED,
    SECOND_PREFERRED,
    SEVERAL_ANSWERS,
    THIS_NOSE,
    UNDECIDED,
    AnyEntry,
    Entry,
    PreferenceEntry,
    Weighed,
)
from evaluation.sessions import OVERALL, SKIN, STRIP
from evaluation.tables import results
from evaluation.wording import of_sealed_plans, of_solo
from evaluation.wording.of_verdicts import called, entry_word, p_number, p_words, risk, whom, without_word
from evaluation.wording.of_weights import weights_words

Facts = tuple[tuple[str, str], ...]


def age_name(age_minutes: float | str) -> str:
    """A strip age of an entry: "4 h", or "overall"."""
    return OVERALL if isinstance(age_minutes, str) else typed.age_name(int(age_minutes * 60 + 0.5))


def seconds_name(age: int | str) -> str:
    """The same for an age in seconds."""
    return age if isinstance(age, str) else typed.age_name(age)


def heads(found: Iterable[AnyEntry]) -> tuple[AnyEntry, ...]:
    """The entries that give the session's verdict: the primary one, or all where no age was named."""
    given = tuple(found)
    return tuple(one for one in given if one.primary and one.primary_age is not None) or given


def age_term(medium: str) -> str:
    """What a time is called: since dipping, or since application."""
    return "time on skin" if medium == SKIN else "strip age"


def place(entry: AnyEntry, ages: int, medium: str = STRIP) -> str:
    """Which strip age or time on skin a verdict is of, and how it stands among several."""
    named = age_name(entry.age_minutes)
    at = f"On skin, {named} after application" if medium == SKIN else f"Strip age {named}"
    where = "Overall choice" if entry.age_minutes == OVERALL else at
    if ages == 1:
        return where
    return f"{where}, the primary one" if entry.primary and entry.primary_age is not None else where


def sentence(entry: AnyEntry, names: tuple[str, str], loss: Loss | None = None) -> str:
    """The verdict's sentences without the word that stands above them; ``loss`` says why where no answer counts."""
    said = without_word(entry, names, loss)
    return said[:1].upper() + said[1:]


def word(entry: AnyEntry, names: tuple[str, str]) -> str:
    """The verdict in a word or two; of a preference with the name of the trial."""
    return entry_word(entry, names)


# --- numbers ------------------------------------------------------------------------------------------------------


def facts(entry: AnyEntry, names: tuple[str, str]) -> Facts:
    """What the verdict rests on, one line a number; of a sitting of a series the counts alone."""
    if OF_A_SERIES in entry.notes:
        return (("Answers that count in the series", str(entry.assessments)),)
    return _votes(entry, names) if isinstance(entry, PreferenceEntry) else _counts(entry)


def _counts(entry: Entry) -> Facts:
    found = [
        ("Right answers", f"{entry.correct} of {entry.assessments}, from {_people(entry.panelists)}"),
        ("Fewest right answers needed", _needed(entry.minimum_correct, entry.alpha_used, entry.assessments)),
        ("Exact p, one-sided", p_words(entry.p_value, entry.alpha_used)),
    ]
    if entry.weighed is not None:
        found = [*_by_weight(entry, entry.weighed), *((f"{name}, by count alone", told) for name, told in found[1:])]
    turned = entry.reason in (REVERSED, CHECK_THE_KEY)  # a share of 0 would read as certainty that nobody notices
    if turned:
        found.append((_whose_share(entry), "not given: fewer were right than guessing explains"))
    elif entry.discriminators is not None:
        found.append((_whose_share(entry), _between(entry)))
        found.append(("d-prime", _distance(entry)))
    if entry.upper_limit is not None and not turned:
        at = f"at most {percent(entry.upper_limit)}, one-sided at beta risk {risk(entry.beta)}"
        found.append(("Upper limit of that share", at))
    if entry.maximum_correct is not None:
        found.append(("Most right answers for “not noticed”", str(entry.maximum_correct)))
    return (*found, ("Speaks for", whom(entry.speaks_for)))


def _by_weight(entry: Entry, weighed: Weighed) -> Facts:
    """What decided *noticed*, above the count."""
    return (
        ("Right answers", f"{entry.correct} of {entry.assessments}, from {_people(entry.panelists)}"),
        ("Weighed by sureness, as sealed", weights_words(weighed.weights)),
        ("Weight of the right answers", f"{weighed.right} of {weighed.total}"),
        ("Least weight needed", _needed(weighed.needed, entry.alpha_used, weighed.total)),
        ("Exact p by weight, one-sided", p_words(weighed.p_value, entry.alpha_used)),
    )


def weight_cells(entry: AnyEntry) -> tuple[str, ...]:
    """Weight found and needed, and its p, for a row of a table; nothing where the count alone was sealed."""
    weighed = entry.weighed if isinstance(entry, Entry) else None
    if weighed is None:
        return ()
    needed = "none is enough" if weighed.needed is None else f"needed {weighed.needed}"
    return f"{weighed.right} of {weighed.total} ({needed})", p_cell(weighed.p_value, entry.alpha_used)


def _votes(entry: PreferenceEntry, names: tuple[str, str]) -> Facts:
    unit = _answers if POOLED in entry.notes else _people
    first, second = called(names)
    found = [
        (f"For {first}", unit(entry.first)),
        (f"For {second}", unit(entry.second)),
        ("No preference", unit(entry.none)),
        ("Fewest needed for one of them", _needed(entry.minimum_correct, entry.alpha_used, entry.votes)),
        ("Exact p, two-sided", p_words(entry.p_value, entry.alpha_used)),
    ]
    if entry.share_first is not None and entry.share_low is not None and entry.share_high is not None:
        limits = f"from {percent(entry.share_low)} to {percent(entry.share_high)}"
        told = f"{percent(entry.share_first)}, {limits} ({_interval(entry.level)})"
        found.append((f"Share for {first} among {entry.votes} votes", told))
    return (*found, ("Speaks for", whom(entry.speaks_for)))


def _people(number: int) -> str:
    return "1 person" if number == 1 else f"{number} people"


def _answers(number: int) -> str:
    return "1 answer" if number == 1 else f"{number} answers"


def _needed(minimum: int | None, alpha_used: float, of: int) -> str:
    return "even all would not be enough" if minimum is None else f"{minimum} of {of} at alpha {risk(alpha_used)}"


def _whose_share(entry: Entry) -> str:
    """With several answers a person the share is one of sets, in these sittings; never of people."""
    one_each = entry.speaks_for != THIS_NOSE and SEVERAL_ANSWERS not in entry.notes
    return "Share that notices (pd)" if one_each else "Share of these sets told apart (pd)"


def _between(entry: Entry) -> str:
    assert entry.discriminators is not None
    assert entry.discriminators_low is not None
    assert entry.discriminators_high is not None
    limits = f"from {percent(entry.discriminators_low)} to {percent(entry.discriminators_high)}"
    return f"{percent(entry.discriminators)}, {limits} ({_interval(entry.level)})"


def _distance(entry: Entry) -> str:
    if entry.d_prime is None or entry.d_prime_low is None or entry.d_prime_high is None:
        return "not given: no function for this method is built in"
    limits = f"from {_two_digits(entry.d_prime_low)} to {_two_digits(entry.d_prime_high)}"
    return f"{_two_digits(entry.d_prime)}, {limits} ({_interval(entry.level)})"


def percent(share: float) -> str:
    """A share as percent, with one decimal where it has one."""
    return f"{results.shown(share * 100, 1):g} %"


def p_cell(p_value: float, level: float) -> str:
    """An exact p for a cell of a table: ".003", "< .001"."""
    return p_number(p_value, level)


def _two_digits(number: float) -> str:
    return results.BEYOND if math.isinf(number) else f"{results.shown(number, 2):g}"


def _interval(level: float) -> str:
    return f"two-sided exact {percent(level)} interval"


def p_in_family(entry: AnyEntry) -> str:
    """The Holm-corrected p; a family of one has nothing to correct."""
    return "" if entry.primary and entry.primary_age is not None else p_cell(entry.p_family, entry.alpha)


# --- caveats ------------------------------------------------------------------------------------------------------


def caveats(found: TwoFindings) -> tuple[str, ...]:
    """What the verdicts do not say and what they rest on, one sentence each."""
    listed = [
        *_medium(found),
        of_sealed_plans.judged_line(found.plan),
        *(line for part in found.found for line in _not_sameness(part)),
        *of_sealed_plans.blind_lines(found.plan, found.context.key_seen_by),
        *(line for part in found.found for line in _spares(part)),
    ]
    for part in found.found:
        listed += of_solo.caveats(part.plan, part.wrong_strips, part.alike_pairs)
        listed += [note for entry in part.entries for note in wording.notes(entry)]
    return tuple(dict.fromkeys(listed))


def _medium(found: TwoFindings) -> Iterable[str]:
    if len(found.found) > 1:
        yield (
            "Strip and skin answer different questions: each is judged by itself, at its own alpha risk, and their "
            "answers are never added."
        )
    elif found.found[0].medium == SKIN:
        yield "Skin only: it differs from person to person, and on a strip the same change may show more or less."
    else:
        yield "Strips only: on skin a difference may show more, less, or at another time."
    yield from of_sealed_plans.stopped_lines(found.context.stopped)


def leaks(found: TwoFound) -> Iterable[str]:
    """A leak changes how the verdict is read: it stands beside it."""
    if found.null_control is not None and found.null_control.noticed:
        yield "Null sets were noticed: something besides the change may have given the answers away."


def _not_sameness(found: TwoFound) -> Iterable[str]:
    verdicts = {entry.verdict for entry in found.entries}
    if UNDECIDED in verdicts:
        yield "Not significant is not sameness: undecided leaves both open."
    if NO_PREFERENCE_SHOWN in verdicts:
        yield "No preference shown does not mean that both are liked alike."
    if verdicts & {FIRST_PREFERRED, SECOND_PREFERRED}:
        yield "A preference says which one, not by how much."


def _spares(found: TwoFound) -> Iterable[str]:
    if found.put_aside:
        told = ", ".join(f"{alias} at {typed.age_name(age)}" for alias, age in found.put_aside)
        yield f"Sets put aside and replaced by spare ones: {told}."


def nearer_word(entry: AnyEntry, names: tuple[str, str]) -> str:
    """Which trial was nearer to the brief."""
    if entry.verdict == NO_WORD:
        return word(entry, names).lower()
    first, second = called(names)
    nearest = {FIRST_PREFERRED: first, SECOND_PREFERRED: second}
    return f"{nearest[entry.verdict]} nearer" if entry.verdict in nearest else "neither shown nearer"
