"""Receipts that panelists' phones kept: is the answer each was given for still in the notebook?"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from evaluation.errors import ArgumentError, NotFound
from evaluation.ground.receipts import DIGITS, read_receipt
from evaluation.keeping.told import instant
from evaluation.sessions import Record
from evaluation.store import Notebook, Transaction, read_body

MOST: Final = 1_000  # at once: each is looked up
LOST: Final = "lost. The answer it was given for is not in this notebook, if this is the one that gave it."


@dataclass(frozen=True, slots=True)
class LookedUp:
    """One receipt, and what became of the answer it was given for, in a sentence."""

    receipt: str
    held: bool
    sentence: str


def several(text: str) -> list[str]:
    """The receipts in a text, whatever stands between them and their groups."""
    bare = re.sub(r"[^0-9A-Za-z]", "", text)
    return [bare[first : first + DIGITS] for first in range(0, len(bare), DIGITS)]


def look_up(notebook: Notebook, given: Iterable[str]) -> tuple[LookedUp, ...]:
    """Each receipt against the notebook; ArgumentError for what is no receipt or was mistyped, before any is told."""
    listed = list(given)
    if len(listed) > MOST:
        raise ArgumentError(f"receipts must be at most {MOST} at once, not {len(listed)}.")
    wanted = [read_receipt(one) for one in listed]
    with notebook.reading() as tx:
        known = tx.log.receipts() if wanted else {}
        return tuple(_told(tx, one, known.get(one)) for one in wanted)


def _told(tx: Transaction, receipt: str, record: Record | None) -> LookedUp:
    if record is None or not _stands(tx, record):
        return LookedUp(receipt, False, f"Receipt {receipt}: {LOST}")
    title = tx.sittings.session(record.session_id).plan.title
    held = f"locked by {_whose(tx, record)} in session {title!r} on {instant(record.at)}"
    return LookedUp(receipt, True, f"Receipt {receipt}: the answer is here, {held}.")


def _stands(tx: Transaction, record: Record) -> bool:
    """The record says so; the answer itself must be there too."""
    body = read_body(record)
    there = {(one.serving_id, one.question) for one in tx.ballots.answers(body["ballot_id"])}
    return (body["serving_id"], body["question"]) in there


def _whose(tx: Transaction, record: Record) -> str:
    ballot = tx.ballots.ballot(read_body(record)["ballot_id"])
    try:
        return tx.book.panelist(ballot.panelist_id or "").alias
    except NotFound:
        return f"seat {ballot.seat}"
