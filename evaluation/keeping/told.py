"""What backups and checks say of themselves, for the terminal and for the page."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Final

from evaluation.store.backup.checking import Checked

LINKS_ANEW: Final = "Panelists' links are given out anew: those of before open nothing, the bench shows the new ones."
NOT_IN_IT: Final = "Known here before, and not in the backup:"


NOT_COVERED: Final = "Labels not covered in {logs} of before: a changed label, title or grouping would not show there."


def counts(found: Checked) -> str:
    """What was found, in numbers to compare, and whether every log holds and all stands."""
    told = (count(found.briefs, "brief"), count(found.sessions, "session"), count(found.answers, "answer"))
    stands = f"{', '.join(told)}; {_verdict(found)}."
    return f"{stands} {NOT_COVERED.format(logs=count(found.uncovered, 'log'))}" if found.uncovered else stands


def _verdict(found: Checked) -> str:
    held, logs = sum(one.holds for one in found.logs), len(found.logs)
    holds = "every log holds" if held == logs else f"{held} of {logs} logs hold"
    if found.lost:
        holds += f" as far as it goes, and the end of {count(len(found.lost), 'log')} is missing"
    elif found.damage and held == logs:
        holds += ", and yet not everything stands as it was written"
    return holds


def count(number: int, what: str) -> str:
    """ "1 log", "2 logs"; only for words that take an s."""
    return f"{number} {what}{'' if number == 1 else 's'}"


def instant(moment: int) -> str:
    """A moment in UTC: where the backup is read, the zone may be another."""
    return f"{datetime.fromtimestamp(moment / 1000, UTC):%Y-%m-%d %H:%M} UTC"
