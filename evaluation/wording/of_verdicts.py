"""Verdicts in sentences. Fewer are said to notice, never that nobody did; two trials are never called the same."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from types import MappingProxyType
from typing import Final

from evaluation.counting.questions import Loss
from evaluation.ground import tables_digits
from evaluation.ground.tables_digits import fixed, significant
from evaluation.judging.entries import (
    BELOW_GUESSING,
    CHECK_THE_KEY,
    EXPLORATORY,
    FIRST_PREFERRED,
    NO_ANSWERS,
    NO_PREFERENCE_SHOWN,
    NO_WORD,
    NOT_NOTICED,
    NOTICED,
    NOTICED_BUT_SMALL,
    OF_A_SERIES,
    OUT_OF_REACH,
    PEOPLE_LIKE_THIS,
    PEOPLE_NEEDED,
    POOLED,
    REVERSED,
    SECOND_PREFERRED,
    SEVERAL_ANSWERS,
    THIS_NOSE,
    THIS_PANEL,
    UNDECIDED,
    AnyEntry,
    Entry,
    PreferenceEntry,
    Weighed,
)
from evaluation.sessions import OVERALL, SKIN, STRIP, Medium
from evaluation.values.trials import sentence_case, trial_name
from evaluation.wording.of_ballots import sets_name, test_name

Names = tuple[str, str]
TRIALS: Final[Names] = ("the first trial", "the second trial")

_NAMES: Final = MappingProxyType(
    {
        NOTICED: "Noticed",
        NOT_NOTICED: "Not noticed",
        NOTICED_BUT_SMALL: "Noticed, but small",
        UNDECIDED: "Undecided",
        NO_PREFERENCE_SHOWN: "No preference shown",
        NO_WORD: "Exploratory",
    }
)
_SPEAKS_FOR: Final = MappingProxyType(
    {
        THIS_NOSE: "This speaks for this nose in these sittings.",
        THIS_PANEL: "This speaks for this panel.",
        PEOPLE_LIKE_THIS: "This speaks for people like this panel, as far as its {people} people were picked from "
        "them by lot: friends were not.",
    }
)
_WHOM: Final = MappingProxyType(
    {
        THIS_NOSE: "this nose, in these sittings",
        THIS_PANEL: "this panel",
        PEOPLE_LIKE_THIS: "people like this panel, if picked from them by lot",
    }
)


# --- numbers in sentences -------------------------------------------------------------------------------------


def percent(share: float) -> str:
    """.3 → "30 %"; a decimal only where the whole percent would hide one."""
    return tables_digits.percent(share) if abs(share * 100 - int(share * 100 + 0.5)) < 1e-9 else _tenth(share)


def _tenth(share: float) -> str:
    return tables_digits.percent(share, 1)


def p_words(p_value: float, level: float, *, at_most: bool = False) -> str:
    """ "p = .031" or "p < .001", with ``at_most`` "p at most .031"; digits as :func:`p_number` gives them."""
    shown = p_number(p_value, level)
    return f"p {shown}" if shown[0] in "<>" else f"p {'at most' if at_most else '='} {shown}"


def p_number(p_value: float, level: float) -> str:
    """ ".031" or "< .001"; more digits where fewer would hide on which side of ``level`` it lies."""
    if p_value < 0.001:
        return "< .001"
    if p_value > 0.999:
        return "> .999"
    digits = 3
    while digits < 12 and p_value > level and float(fixed(p_value, digits)) <= level:
        digits += 1
    return bare(p_value, digits)


def bare(number: float, digits: int = 3) -> str:
    """A number from 0 to 1 without its leading zero."""
    text = fixed(number, digits)
    return text.removeprefix("0") if number < 1 else f"{number:g}"


def risk(number: float) -> str:
    """A risk as people write it: .05, .001, .0167."""
    return significant(number, 4).removeprefix("0")


def marks_line(entries: Iterable[AnyEntry], interval: str) -> str:
    """What the marks of the picture of right answers are; the thick one is told of only where it is drawn."""
    entries = tuple(entries)
    drawn = [one.minimum_correct is not None for one in entries if isinstance(one, Entry) and one.assessments]
    by_count = any(one.weighed is not None for one in entries if isinstance(one, Entry))
    needed = "fewest needed by count; “noticed” was judged by weight" if by_count else "fewest needed"
    thick = f"Thick mark: {needed}." if any(drawn) else "Fewest needed: no mark, even all would be too few."
    return f"Dot: share of right answers seen, with its {interval}. Thin mark: what guessing gives. {thick}"


def sealed_risk(number: Decimal) -> str:
    """A risk or a share of a sealed plan: .05, .520500, spelt to the last digit that was sealed."""
    return f"{number:f}".removeprefix("0")


def on_media(media: Iterable[Medium]) -> str:
    """ "on strips", "on strips and on skin"."""
    return " and ".join(_ON[medium] for medium in media)


_ON: Final[Mapping[Medium, str]] = MappingProxyType({STRIP: "on strips", SKIN: "on skin"})


def count(number: int, one: str, many: str) -> str:
    """A number with its word: "1 person", "2 people"."""
    return f"{number} {one if number == 1 else many}"


# --- whom it speaks for ---------------------------------------------------------------------------------------


def speaks_for_words(speaks_for: str, people: int) -> str:
    """A sentence; of people who were not there never without how these were to be picked."""
    return _SPEAKS_FOR[speaks_for].format(people=people)


def whom(speaks_for: str) -> str:
    """The same for a cell or the middle of a sentence."""
    return _WHOM[speaks_for]


# --- why nothing counts ---------------------------------------------------------------------------------------


def none_counted(planned: int, lost: Iterable[tuple[str, int]], what: str = "answers") -> str:
    """Why no answer counts: "3 of 3 answers were smelt late, so none counts"."""
    by_kind = tuple(lost)
    came = sum(number for _, number in by_kind)
    if not came:
        return f"none of the {planned} {what} planned came in"
    nouns = (f" {what}", *[""] * (len(by_kind) - 1))
    named = " and ".join(_lost(*one, came, noun) for one, noun in zip(by_kind, nouns, strict=True))
    missing = f" ({planned} were planned)" if came < planned else ""
    return f"{named}{missing}, so none counts"


def _lost(kind: str, number: int, came: int, what: str) -> str:
    was = "was" if number == 1 else "were"
    return f"{number} of {came}{what} {was} {f'smelt {kind}' if kind in TIMED else f'left out ({kind})'}"


TIMED: Final = frozenset({"late", "early"})  # deviations that say when a set was smelt


# --- headline -------------------------------------------------------------------------------------------------


def verdict_name(verdict: str, names: Names = TRIALS, *, nearer: bool = False) -> str:
    """The verdict word with a capital; preferences with the trial's name. ``nearer``: which was nearer to the brief."""
    first, second = called(names)
    preferred = {FIRST_PREFERRED: first, SECOND_PREFERRED: second}
    if verdict in preferred:
        return sentence_case(f"{preferred[verdict]} {'nearer the brief' if nearer else 'preferred'}")
    return _NEITHER_NEARER if nearer and verdict == NO_PREFERENCE_SHOWN else _NAMES[verdict]


_NEITHER_NEARER: Final = "Neither shown nearer"


def called(names: Names) -> Names:
    """Labels as sentences name trials; the first and the second one where no labels are known."""
    return names if names == TRIALS else (trial_name(names[0]), trial_name(names[1]))


def headline(entry: AnyEntry, names: Names = TRIALS) -> str:
    """One line: what was compared, how, when, and the verdict."""
    return f"{entry.comparison} · {entry.method} · {age_words(entry.age_minutes)}: {entry_word(entry, names)}"


def entry_word(entry: AnyEntry, names: Names = TRIALS) -> str:
    """The verdict's word; a sitting of a series has none of its own and is called what it is."""
    return "Part of a series" if OF_A_SERIES in entry.notes else verdict_name(entry.verdict, names)


def age_words(age_minutes: float | str) -> str:
    """A strip age in minutes, or the word for all ages together."""
    return OVERALL if isinstance(age_minutes, str) else f"{age_minutes:g} min"


# --- sentences ------------------------------------------------------------------------------------------------


def sentence(entry: AnyEntry, names: Names = TRIALS, loss: Loss | None = None, *, nearer: bool = False) -> str:
    """The verdict in plain sentences: what it says, the counts behind it, whom it speaks for, what would settle it.

    ``loss``: what became of the answers planned; where none counts it says why. ``nearer``: a further question of
    preferences, which was nearer to the brief.
    """
    word = verdict_name(entry.verdict, names, nearer=nearer)
    told = without_word(entry, names, loss)
    return told if entry.verdict == NO_WORD and entry.assessments else f"{word}: {told}"


def without_word(entry: AnyEntry, names: Names = TRIALS, loss: Loss | None = None) -> str:
    """The same where the verdict's word stands above it."""
    if entry.assessments == 0:
        return f"{_nothing(loss)}."
    parts = _preference(entry, names) if isinstance(entry, PreferenceEntry) else _forced_choice(entry)
    return " ".join(part for part in parts if part)


def _nothing(loss: Loss | None) -> str:
    if loss is None or loss.counted:
        return "no answers came in that count"
    return none_counted(loss.planned, loss.left_out)


def _forced_choice(entry: Entry) -> tuple[str, ...]:
    if entry.verdict == NO_WORD:
        if OF_A_SERIES in entry.notes:
            return (f"{_IN_SERIES} {entry.correct} of {count(entry.assessments, 'answer', 'answers')} right.",)
        return (f"{_EXPLORATORY} {_bare_numbers(entry)}", _REASONS.get(entry.reason, ""))
    return (
        _says(entry),
        _counts(entry),
        _stand_out(entry),
        _settle(entry),
        speaks_for_words(entry.speaks_for, entry.panelists) if entry.verdict != UNDECIDED else "",
        _too_few_people(entry),
        _standing(entry),
    )


def _bare_numbers(entry: Entry) -> str:
    if entry.weighed is not None:
        return weighed_words(entry, entry.weighed)
    right = f"{entry.correct} of {count(entry.assessments, 'answer', 'answers')} right"
    return f"{right} ({p_words(entry.p_value, entry.alpha_used)})."


# Why an age or a sitting has a number and no word; the number follows.
_IN_SERIES: Final = "These answers count in the series this sitting was sealed for, which speaks on its own page:"
_EXPLORATORY: Final = "Exploratory: the primary strip age did not reach its level, so this is a number and no verdict."


def _too_few_people(entry: Entry) -> str:
    """How many people short a panel with one answer each is of speaking for others (else see ``spread``)."""
    missing = PEOPLE_NEEDED - entry.panelists
    if entry.verdict == UNDECIDED or entry.speaks_for != THIS_PANEL or entry.own:
        return ""
    return (
        f"To speak for people like it, {PEOPLE_NEEDED} people picked from them by lot are needed, {missing} more than "
        "here: a fresh session."
    )


def _says(entry: Entry) -> str:
    said = _said_of(entry)
    told = said[entry.verdict] if entry.verdict != UNDECIDED else _REASONS.get(entry.reason, said[UNDECIDED])
    if entry.weighed is not None:
        told = told.replace(_THAN_GUESSING, f"{_THAN_GUESSING}, the surer ones counting for more")
    return told.format(
        pd=percent(entry.pd), beta=risk(entry.beta), test=test_name(entry.method), sets=sets_name(entry.method)
    )


def _said_of(entry: Entry) -> Mapping[str, str]:
    """With several answers per person a share is one of sets, never of people."""
    if entry.speaks_for == THIS_NOSE:
        return _SAID_OF_NOSE
    return _SAID_OF_PANEL if SEVERAL_ANSWERS in entry.notes else _SAID_OF_PEOPLE


_THAN_GUESSING: Final = "than guessing explains"
_SAID_OF_PEOPLE: Final = MappingProxyType(
    {
        NOTICED: "more answers were right than guessing explains.",
        NOT_NOTICED: "fewer than {pd} would notice in {test}, at beta risk {beta}.",
        NOTICED_BUT_SMALL: (
            "more answers were right than guessing explains, and fewer than {pd} would notice in {test}, at beta "
            "risk {beta}. Few notice it, which is not the same as a faint difference."
        ),
        UNDECIDED: "these answers show neither that it is noticed nor that fewer than {pd} would notice in {test}.",
    }
)
_SAID_OF_PANEL: Final = MappingProxyType(
    {
        NOTICED: "at least one of this panel told them apart.",
        NOT_NOTICED: "this panel would tell apart fewer than {pd} of such {sets}, at beta risk {beta}.",
        NOTICED_BUT_SMALL: (
            "at least one of this panel told them apart, and the panel as a whole would do so in fewer than {pd} of "
            "such {sets}, at beta risk {beta}. It notices seldom, which is not the same as a faint difference; one of "
            "them may notice every time."
        ),
        UNDECIDED: (
            "these answers show neither that anybody of this panel tells them apart nor that the panel would do so in "
            "fewer than {pd} of such {sets}."
        ),
    }
)
_SAID_OF_NOSE: Final = MappingProxyType(
    {
        NOTICED: "this nose told them apart more often than guessing explains.",
        NOT_NOTICED: "this nose would tell apart fewer than {pd} of such {sets}, at beta risk {beta}.",
        NOTICED_BUT_SMALL: (
            "this nose told them apart more often than guessing explains, and would do so in fewer than {pd} of such "
            "{sets}, at beta risk {beta}. It notices seldom, which is not the same as a faint difference."
        ),
        UNDECIDED: (
            "these answers show neither that this nose notices nor that it would tell apart fewer than {pd} of such "
            "{sets}."
        ),
    }
)
_REASONS: Final = MappingProxyType(
    {
        REVERSED: (
            "fewer answers were right than guessing explains, so it was chosen the other way; "
            "seal that direction and smell again."
        ),
        CHECK_THE_KEY: (
            "fewer answers were right than guessing explains; check the key, the vials and the way the answers were "
            "written down before anything else."
        ),
    }
)


def _counts(entry: Entry) -> str:
    return _of_count(entry) if entry.weighed is None else weighed_words(entry, entry.weighed)


def weighed_words(entry: Entry, weighed: Weighed) -> str:
    """The weight found and needed, as sealed, and the count beside it, which then decides the rest."""
    needed = "even all right would not be enough"
    if weighed.needed is not None:
        needed = f"{weighed.needed} needed at alpha {risk(entry.alpha_used)}"
    return (
        f"Weighed by the sureness said, as sealed, the right answers weigh {weighed.right} of {weighed.total} "
        f"({needed}, {p_words(weighed.p_value, entry.alpha_used)}). By count, which decides “not noticed” and "
        f"the limits only: {_of_count(entry)}"
    )


def _of_count(entry: Entry) -> str:
    told = f"{entry.correct} of {count(entry.assessments, 'answer', 'answers')} right"
    if SEVERAL_ANSWERS in entry.notes:
        told += f", from {entry.panelists} people"
    needed = "even all right would not be enough"
    if entry.minimum_correct is not None:
        needed = f"{entry.minimum_correct} needed at alpha {risk(entry.alpha_used)}"
    told = told if entry.weighed else f"{told[:1].upper()}{told[1:]}"
    return f"{told} ({needed}, {p_words(entry.p_value, entry.alpha_used)})."


def _stand_out(entry: Entry) -> str:
    if entry.stand_out is None:
        return ""
    if entry.stand_out == 0:
        return "Nobody stands out by their own answers alone."
    return f"{entry.stand_out} of {count(entry.panelists, 'person', 'people')} stand out by their own answers alone."


def _settle(entry: Entry) -> str:
    """A repeat is a session of its own: answers are never added to one that was opened."""
    if entry.settle is None or entry.reason in (REVERSED, CHECK_THE_KEY):
        return ""
    return (
        f"A fresh session of {entry.settle} assessments would reach a verdict with power {percent(1 - entry.beta)} "
        f"if the true share is {percent(entry.pd)}."
    )


def _standing(entry: AnyEntry) -> str:
    """Where this age stands in its family."""
    if EXPLORATORY in entry.notes:
        return "Exploratory, since the primary strip age did not reach its level: only that few notice is claimed."
    return "" if entry.alpha_used == entry.alpha else "Corrected for looking at several strip ages."


def _preference(entry: PreferenceEntry, names: Names) -> tuple[str, ...]:
    first, second = called(names)
    if OF_A_SERIES in entry.notes:
        return (f"{_IN_SERIES} {_votes(entry, first, second)}",)
    if entry.verdict == NO_WORD:
        shown = p_words(entry.p_value, entry.alpha_used)
        return (f"{_EXPLORATORY} {_votes(entry, first, second)}", _answers(entry, first, second), f"Two-sided {shown}.")
    return (
        _votes(entry, first, second),
        _answers(entry, first, second),
        _needed(entry),
        _preference_settle(entry),
        speaks_for_words(entry.speaks_for, entry.panelists) if entry.verdict != NO_PREFERENCE_SHOWN else "",
        _standing(entry),
    )


def _votes(entry: PreferenceEntry, first: str, second: str) -> str:
    """Votes of people; for a panel of one its answers."""
    leads = entry.first >= entry.second
    most, name = (entry.first, first) if leads else (entry.second, second)
    least, other = (entry.second, second) if leads else (entry.first, first)
    whole = entry.first + entry.second + entry.none
    unit = ("answer", "answers") if POOLED in entry.notes else ("person", "people")
    told = f"{most} of {count(whole, *unit)} for {name}, {least} for {other}"
    return told + (f", {entry.none} without a preference." if entry.none else ".")


def _answers(entry: PreferenceEntry, first: str, second: str) -> str:
    """People and answers stated apart, where they are not the same numbers."""
    if SEVERAL_ANSWERS not in entry.notes:
        return ""
    return (
        f"In answers: {entry.first_answers} for {first}, {entry.second_answers} for {second}, "
        f"{entry.none_answers} without a preference; each person has one vote."
    )


def _needed(entry: PreferenceEntry) -> str:
    shown = p_words(entry.p_value, entry.alpha_used)
    if entry.minimum_correct is None:
        return f"With {count(entry.votes, 'vote', 'votes')} even all for one trial would not be enough ({shown})."
    alpha = risk(entry.alpha_used)
    return f"Needed for one trial: {entry.minimum_correct} of {entry.votes} at alpha {alpha} ({shown}, two-sided)."


def _preference_settle(entry: PreferenceEntry) -> str:
    if entry.settle is None:
        return ""
    share = percent((1 + entry.pd) / 2)
    return (
        f"This does not show that they are liked alike: a fresh session of {entry.settle} people would show a "
        f"preference with power {percent(1 - entry.beta)} if {share} prefer one of them."
    )


# --- notes ----------------------------------------------------------------------------------------------------

_NOTES: Final = MappingProxyType(
    {
        BELOW_GUESSING: "With so few answers no number of right ones can show that fewer than {pd} would notice.",
        OUT_OF_REACH: "With so few answers even all of one kind would not have reached alpha.",
        SEVERAL_ANSWERS: "Several people answered more than once: their answers are not as many people.",
        EXPLORATORY: "The primary strip age did not reach its level: what the other ages show is exploratory.",
        POOLED: "All answers are one person's: they are counted as answers, not as people.",
        NO_ANSWERS: "No answers came in that count.",
        OF_A_SERIES: "A sitting of a series gives no verdict by itself.",
    }
)


def notes(entry: AnyEntry) -> tuple[str, ...]:
    """What else must be said, one sentence each; nothing of numbers that no answer stands behind."""
    if entry.assessments == 0:
        return ()
    return tuple(_NOTES[note].format(pd=percent(entry.pd)) for note in entry.notes)
