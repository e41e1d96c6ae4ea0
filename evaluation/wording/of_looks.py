"""Words of a sequential session: what the bench says while it runs, and what its findings say."""

from __future__ import annotations

from types import MappingProxyType
from typing import Final

from evaluation.counting.questions import Loss
from evaluation.ground.tables_digits import fixed
from evaluation.judging.entries import (
    CHECK_THE_KEY,
    NO_ANSWERS,
    NOT_NOTICED,
    NOTICED,
    PEOPLE_NEEDED,
    REVERSED,
    SEVERAL_ANSWERS,
    THIS_NOSE,
    THIS_PANEL,
    UNDECIDED,
)
from evaluation.judging.sequences import (
    CLOSED_EARLY,
    CONTINUE,
    END_UNDECIDED,
    STOP_NOT_NOTICED,
    STOP_NOTICED,
    STOP_UNDECIDED,
    Outcome,
    SequentialEntry,
)
from evaluation.wording.of_ballots import sets_name, test_name
from evaluation.wording.of_verdicts import bare, count, none_counted, percent, risk, verdict_name

NOT_VALID: Final = "not valid after stopping"

# --- while it runs ----------------------------------------------------------------------------------------------------

_STATES: Final = MappingProxyType(
    {
        CONTINUE: "Continue",
        STOP_NOTICED: "Stop: noticed",
        STOP_NOT_NOTICED: "Stop: not noticed",
        STOP_UNDECIDED: "Stop: undecided",
        END_UNDECIDED: "End: undecided",
    }
)
CLOSE_NOW: Final = (
    "Close the session now. Answers that still come in are kept, but do not enter the verdict. Tell the panel nothing "
    "but that it is over."
)
NOTE_FIRST: Final = (
    "If something does not go by the plan, note it at once: noted only after a look has counted the answer, it no "
    "longer leaves the verdict."
)


def state_words(state: Outcome) -> str:
    """The state of the newest look."""
    return _STATES[state]


def progress_words(assessments: int, next_at: int | None, planned_end: int) -> str:
    """How many answers were looked at and when the next look is; never how many were right."""
    seen = f"Looked at after {count(assessments, 'answer', 'answers')}" if assessments else ""
    if next_at is None:
        return f"{seen or 'Not looked at'}."
    if not seen:
        return f"The first look comes after {count(next_at, 'answer', 'answers')}, the last one after {planned_end}."
    last = ", the last one" if next_at == planned_end else f", the last one after {planned_end}"
    return f"{seen}; the next look is after {next_at}{last}."


def log_words(assessments: int, outcome: str) -> str:
    """A look, as a line of the log."""
    return f"Looked at after {count(assessments, 'answer', 'answers')}: {outcome.removeprefix('stop: ')}."


# --- after opening ----------------------------------------------------------------------------------------------------

_SAYS: Final = MappingProxyType(
    {
        NOTICED: "more answers were right than guessing explains.",
        NOT_NOTICED: "fewer than {pd} would notice in {test}, at beta risk {beta}.",
        UNDECIDED: "the looks showed neither that it is noticed nor that fewer than {pd} would notice in {test}.",
    }
)
_SAYS_OF_NOSE: Final = MappingProxyType(
    {
        NOTICED: "this nose told them apart more often than guessing explains.",
        NOT_NOTICED: "this nose would tell apart fewer than {pd} of such {sets}, at beta risk {beta}.",
        UNDECIDED: (
            "the looks showed neither that this nose notices nor that it would tell apart fewer than {pd} of such "
            "{sets}."
        ),
    }
)
_NOTICED_BY_PANEL: Final = "at least one of this panel told them apart."
_REASONS: Final = MappingProxyType(
    {
        NO_ANSWERS: "no look was taken, as too few answers came in that count.",
        REVERSED: (
            "fewer answers were right than guessing explains, so it was chosen the other way; seal that direction and "
            "smell again."
        ),
        CHECK_THE_KEY: (
            "fewer answers were right than guessing explains; check the key, the vials and the way the answers were "
            "written down before anything else."
        ),
        SEVERAL_ANSWERS: (
            "few enough were right to stop. With several answers each that is no verdict: its risk is known for one "
            "answer per person, or for one nose."
        ),
        CLOSED_EARLY: (
            "it ended before a look allowed a verdict: closed early, or no set of its last sitting counts. Whoever "
            "enters the marks knows the score, so the end was not moved forward."
        ),
    }
)


def sentence(entry: SequentialEntry, loss: Loss | None = None) -> str:
    """The verdict in plain sentences, the word first; ``loss`` says why where no answer counts."""
    return f"{verdict_name(entry.verdict)}: {without_word(entry, loss)}"


def without_word(entry: SequentialEntry, loss: Loss | None = None) -> str:
    """The same where the verdict's word stands above it."""
    if entry.reason == NO_ANSWERS and loss is not None and not loss.counted:
        return f"{none_counted(loss.planned, loss.left_out)}, and no look was taken."
    parts = (_says(entry), _counts(entry), _unentered(entry), _settle(entry), _too_few_people(entry))
    return " ".join(part for part in parts if part)


def _too_few_people(entry: SequentialEntry) -> str:
    """How many people short a panel with one answer each is of speaking for others, when a look stopped it."""
    if entry.verdict == UNDECIDED or entry.speaks_for != THIS_PANEL or entry.beta_exact is None:
        return ""
    missing = PEOPLE_NEEDED - entry.panelists
    return (
        f"To speak for people like this panel, answers of {PEOPLE_NEEDED} people picked from them by lot are needed, "
        f"{missing} more than here: a fresh session."
    )


def _says(entry: SequentialEntry) -> str:
    words = _REASONS.get(entry.reason) or _said_of(entry)
    return words.format(
        pd=percent(entry.pd), beta=risk(entry.beta), test=test_name(entry.method), sets=sets_name(entry.method)
    )


def _said_of(entry: SequentialEntry) -> str:
    if entry.speaks_for == THIS_NOSE:
        return _SAYS_OF_NOSE[entry.verdict]
    if entry.beta_exact is None and entry.verdict == NOTICED:  # several answers per person
        return _NOTICED_BY_PANEL
    return _SAYS[entry.verdict]


def _counts(entry: SequentialEntry) -> str:
    if not entry.looks:
        return ""
    look = entry.looks[-1]
    told = f"{look.correct} of {count(look.assessments, 'answer', 'answers')} right at look {len(entry.looks)}"
    return f"{told} ({limit_words(look.assessments, look.lower, look.upper)})."


def limit_words(assessments: int, lower: int | None, upper: int | None) -> str:
    """The two limits of one look."""
    high = "noticed not possible yet" if upper is None else f"noticed from {upper}"
    low = "no lower limit yet" if lower is None else f"lower limit {lower}"
    return f"{high}, {low}"


def _unentered(entry: SequentialEntry) -> str:
    """Answers outside the looks, and those that stay in although they were set apart later, or are of no kind."""
    told = []
    if entry.wrong_strips:
        sets = count(entry.wrong_strips, "set was a wrong strip", "sets were wrong strips")
        told.append(f"{sets}: answered wrong towards “noticed”, answered right towards “not noticed”.")
    if entry.after:
        came = count(entry.after, "answer that came in after it does", "answers that came in after it do")
        told.append(f"{came} not enter the verdict.")
    if entry.late:
        told.append(
            f"Set apart only after a look held them, and therefore kept in: {count(entry.late, 'set', 'sets')}."
        )
    return " ".join(told)


def _settle(entry: SequentialEntry) -> str:
    if entry.settle is None or entry.reason in (REVERSED, CHECK_THE_KEY):
        return ""
    return (
        f"A fresh session of {entry.settle} assessments, judged once, would reach a verdict with power "
        f"{percent(1 - entry.beta)} if the true share is {percent(entry.pd)}."
    )


def facts(entry: SequentialEntry) -> tuple[tuple[str, str], ...]:
    """What the verdict rests on, one line a number, but for whom it speaks."""
    people = count(entry.panelists, "person", "people")
    return (
        ("Right answers looked at", f"{entry.correct} of {entry.assessments}, from {people}"),
        ("Looks taken", f"{_looks(entry)} of {len(entry.limits)} planned"),
        ("Exact risk of “noticed” if all guess", f"{_digits(entry.alpha_exact)} (sealed: {risk(entry.alpha)})"),
        (f"Exact risk of “not noticed” at {percent(entry.pd)}", _beta(entry)),
        ("Answers to be expected in such a session", _expected(entry)),
        ("p, share that notices, d-prime", NOT_VALID),
    )


def _looks(entry: SequentialEntry) -> str:
    """Number of looks; an end looked at twice is one."""
    return str(len({look.assessments for look in entry.looks}))


def _beta(entry: SequentialEntry) -> str:
    if entry.beta_exact is None:
        return "not known with several answers per person; that verdict was not given"
    return f"{_digits(entry.beta_exact)} (sealed: {risk(entry.beta)})"


def _expected(entry: SequentialEntry) -> str:
    told = f"{fixed(entry.expected_at_null, 1)} if all guess"
    if entry.expected_at_pd is not None:
        told += f", {fixed(entry.expected_at_pd, 1)} if {percent(entry.pd)} notice"
    return f"{told}; at most {entry.planned}"


def _digits(number: float) -> str:
    """A risk to four places, never shown as less than it is allowed to be by rounding to nothing."""
    return bare(number, 4) if number >= 0.0001 else "under .0001"


_STOPPED: Final = (
    "The session could stop at each look: the p-value and the interval of a fixed number of answers are not valid "
    "after stopping. The exact risks of the whole procedure stand in their place."
)
_OPEN: Final = "Not significant is not sameness: undecided leaves both open."


def caveats(entry: SequentialEntry) -> tuple[str, ...]:
    """What a verdict reached by looks does not say."""
    return (_STOPPED, _OPEN) if entry.verdict == UNDECIDED else (_STOPPED,)
