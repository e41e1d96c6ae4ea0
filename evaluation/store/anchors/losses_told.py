"""What is missing, in sentences: how many answers, whose, and until when they were known."""

from __future__ import annotations

from datetime import UTC, datetime

from evaluation.store.anchors.end_marks import DECISIONS, SERIES, SESSION, Answered, Known, Lost

_OF_BRIEFS = {DECISIONS: "decision", SERIES: "line about its series"}


def sentences(known: Known) -> tuple[str, ...]:
    """One for each log that lacks its end, then what else happened to the anchor."""
    return (*(_sentence(one) for one in known.lost), *known.notes)


def _sentence(lost: Lost) -> str:
    until = f"The anchor knows them until {_instant(lost.mark.at)}."
    if lost.mark.log.startswith(SESSION):
        return f"{_of_session(lost)} {until}"
    for log, what in _OF_BRIEFS.items():
        if lost.mark.log.startswith(log):
            of = f"brief {lost.title!r}" if lost.title else "a brief that is gone too"
            return f"{_missing(lost, what)} at the end of {of}. {until}"
    return f"{_missing(lost, 'line')} at the end of what is kept about skin: trust no clearance. {until}"


def _of_session(lost: Lost) -> str:
    of = f"session {lost.title!r}" if lost.title else "a session that is gone too"
    answers = sum(one.answers for one in lost.missing)
    if not answers:
        return f"{_missing(lost, 'record')} at the end of {of}, no answers among them."
    told = "1 acknowledged answer is" if answers == 1 else f"{answers} acknowledged answers are"
    return f"{told} missing at the end of {of}: {', '.join(map(_whose, lost.missing))}."


def _whose(one: Answered) -> str:
    return f"{one.answers} of {one.alias or 'somebody whose name is gone'}"


def _missing(lost: Lost, what: str) -> str:
    number = lost.mark.count - lost.left
    if number <= 0:
        return f"The {_several(what)} that were acknowledged are not those that are there,"
    return f"1 {what} is missing" if number == 1 else f"{number} {_several(what)} are missing"


def _several(what: str) -> str:
    first, _, rest = what.partition(" ")
    return f"{first}s {rest}".rstrip()


def _instant(moment: int) -> str:
    return f"{datetime.fromtimestamp(moment / 1000, UTC):%Y-%m-%d %H:%M:%S} UTC"
