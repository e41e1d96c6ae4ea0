"""Timetables on paper: one for each panelist, one for each preparer. They name people by alias and strips by code."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from evaluation.actions.paper import Card
from evaluation.serving import smelling
from evaluation.serving.dipping import in_turn
from evaluation.sessions import Plan
from evaluation.sheets import words
from evaluation.sheets.pieces import Block, Break, Head, Sheet, Table, Text
from evaluation.sheets.stocks import A4, Paper
from evaluation.sheets.timing import Timing
from evaluation.timetable import by_preparer

PEOPLE_LEAD = (
    "Be at your place a few minutes early. Smell each set at its time, not before; if you are late, smell it as soon "
    "as you can and say so."
)


def people_sheet(
    head: Head, plan: Plan, cards: Sequence[Card], timing: Timing | None = None, paper: Paper = A4
) -> Sheet:
    """When each panelist smells what and how, one page each; without a timetable the times are written in by hand."""
    how = [smelling.paragraph(one, plan.sets_per_nose) for one in smelling.ways(plan)]
    by_seat: dict[int, list[Card]] = {}
    for card in cards:
        if card.serving is not None:
            by_seat.setdefault(card.seat, []).append(card)
    blocks: list[Block] = []
    for mine in by_seat.values():
        blocks += [Break()] if blocks else []
        blocks += [Text(mine[0].alias, "warning"), *([Text(timing.day, "lead")] if timing else []), Text(PEOPLE_LEAD)]
        blocks.append(_table(mine, timing.smelling() if timing else {}))
        blocks += [Text(one, "small") for one in how]
        blocks.append(Text(" ".join(words.STRIP_CAUTIONS), "small"))
        if any(card.serving is not None and card.serving.sites for card in mine):
            blocks.append(Text(" ".join(words.SKIN_CAUTIONS), "small"))
    return Sheet(head, tuple(blocks or [Text("Nobody sits in this session.")]), paper)


def preparers_sheet(head: Head, cards: Sequence[Card], timing: Timing, paper: Paper = A4) -> Sheet:
    """When each preparer dips for whom: codes only, so that it may lie open; the vials are on the preparation sheet."""
    known: Mapping[str, Card] = {card.serving_id: card for card in cards if card.serving is not None}
    blocks: list[Block] = []
    for preparer, lines in by_preparer(timing.timetable).items():
        mine = [(line, known[line.serving_id]) for line in lines if line.serving_id in known]
        rows = tuple(
            (
                timing.clock(line.dip_from),
                timing.clock(line.smell_from),
                card.alias,
                str(card.number),
                " ".join(in_turn(card.serving)[0]) if card.serving else "",
            )
            for line, card in mine
        )
        blocks += [Break()] if blocks else []
        blocks += [
            Text(f"Preparer {preparer + 1}", "warning"),
            Text(timing.day, "lead"),
            Table(
                ("Dip at", "Smelt at", "Person", "Set", "Codes, as dipped"),
                rows,
                (2, 2, 3, 1, 5),
                tick=True,
                bold=(0, 4),
            ),
            Text(words.PREPARER_CAUTION, "small"),
        ]
    return Sheet(head, tuple(blocks or [Text("The timetable holds nothing to dip.")]), paper)


def _table(cards: Sequence[Card], times: Mapping[str, str]) -> Table:
    ordered = sorted(cards, key=lambda card: card.number)
    rows = tuple(
        (
            times.get(card.serving_id, "____ : ____"),
            str(card.number),
            "  ".join(card.codes),
            words.after(card.serving.age_seconds, card.serving.medium) if card.serving else "",
        )
        for card in ordered
    )
    return Table(("Smell at", "Set", "Codes, left to right", "Age"), rows, (2, 1, 4, 4), tick=True, bold=(0, 2))
