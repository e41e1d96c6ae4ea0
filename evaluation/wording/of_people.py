"""What is kept of one person, where, and what becomes of it when they are erased; where a name stands in texts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from typing import Final

from evaluation.store.kept_people import Kept
from evaluation.store.named_texts import NamedIn

GOES: Final = "Goes for good."
NUMBERED: Final = "Stays under a random number that leads to nobody."
# Of each count: what it is, where it is kept, and what erasing does with it.
_KEPT: Final[Mapping[str, tuple[str, str, str]]] = {
    "sessions": ("Seats in sessions", "notebook and sealed log", NUMBERED),
    "answers": ("Answers that were locked, with their instants", "notebook and log", NUMBERED),
    "drafts": ("Taps that were never locked", "notebook", "Go; of each set the instant of the first stays."),
    "words": ("Remarks, and what was written about their sets", "notebook; the log holds salted digests", GOES),
    "stops": ("Stops: skin reacts, or unwell", "notebook and log", NUMBERED),
    "links": ("Links that open a ballot", "notebook, as a hash", GOES),
    "visits": ("Visits of their browsers", "notebook, as a hash", GOES),
    "skin_answers": ("Answers about skin and health", "notebook", GOES),
    "patches": ("Patch tests", "notebook", GOES),
    "skin_lines": (
        "Readings, advice, reactions and days worn on skin",
        "notebook",
        "Go; that somebody reacted to which materials stays, without saying who, and protects the others.",
    ),
}
_WHERE: Final[Mapping[tuple[str, str], str]] = {
    ("briefs", "text"): "Text of a brief",
    ("briefs", "title"): "Title of a brief",
    ("trials", "changed"): "What was changed in a trial",
    ("trials", "label"): "Label of a trial",
    ("bottles", "batch"): "Batch of a bottle",
    ("bottles", "lots"): "Lots of a bottle",
    ("bottles", "mark"): "Mark of a bottle",
    ("panelists", "note"): "Note on a person",
    ("materials", "note"): "Note on a material",
    ("materials", "name"): "Name of a material",
    ("skin_limits", "document"): "Safety document of a material",
    ("formula_lines", "lot"): "Lot in a formula",
    ("formula_accords", "name"): "Accord of a formula",
    ("brief_sheets", "body"): "Descriptors or aims of a brief",
    ("skin_bars", "reason"): "Why a trial may or may not go on skin",
    ("sessions", "plan"): "Title of a session",
    ("personal_texts", "text"): "Remark or reason in a session",
    ("personal_texts", "name"): "What the log of a session calls its brief or a trial",
    ("personal_texts", "keeper"): "Who keeps the strips",
    ("timetables", "body"): "Who keeps the strips",
    ("decisions", "reason"): "Reason of a decision",
    ("decisions", "evidence"): "Evidence of a decision",
    ("series", "body"): "Title of a series",
    ("series_log", "body"): "Why a series was ended",
    ("skin_log", "note"): "Note about skin",
    ("skin_log", "reason"): "Reason about skin",
    ("skin_log", "who"): "Who confirmed a limit or gave advice",
    ("skin_log", "found"): "What was found over a day on skin",
}


def kept_rows(kept: Kept, alias_file: str) -> list[tuple[str, str, str]]:
    """What and where, how many, what erasing does; only of what there is. ``alias_file``: the anchor, "" without."""
    beside = f"notebook, and {alias_file}" if alias_file else "notebook"
    told = [(f"Alias and note ({beside})", "1", GOES)]
    counted = ((one.name, getattr(kept, one.name)) for one in fields(kept))
    return told + [
        (f"{what} ({where})", str(n), goes) for name, n in counted if n for what, where, goes in [_KEPT[name]]
    ]


def where_named(place: NamedIn) -> str:
    """Which text it is, with the session or brief it belongs to."""
    which = _WHERE[place.table, place.column]
    return f"{which} ({place.about})" if place.about and place.about != place.text else which
