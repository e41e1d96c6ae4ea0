"""Everything the gate before skin wants, for some people and trials; the limits and the document are invented."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import Any

from evaluation.formulas import Formula, Line
from evaluation.sessions import StripAge
from evaluation.skin import (
    CLEAR,
    EXCLUSIONS,
    LEFT_ON_SKIN,
    PATCH_SITES,
    Material,
    Patch,
    SkinFacts,
    SkinLimit,
    worn,
)

HOUR = 3_600_000
DOCUMENT = "invented safety sheet 4"


def ready(notebook: Any, trial_ids: Iterable[str], panelist_ids: Iterable[str], days_ago: float = 4) -> None:
    """Formula, limits, strength, facts and patches read clear twice, the latter put on some days ago."""
    with notebook.writing() as tx:
        now = tx.clock.now()
        for trial_id in trial_ids:
            _trial(tx, trial_id, now)
            for who in panelist_ids:
                applied = now - int(days_ago * 24 * HOUR)
                lines = worn(tx.skin.lines(trial_id))
                patch = Patch(f"{who} {trial_id}", who, trial_id, "482", PATCH_SITES[0], Decimal(10), applied, lines)
                tx.patches.add(patch)
                for hours in (50, 75):
                    tx.patches.read(patch.id, CLEAR, applied + hours * HOUR)
        for who in panelist_ids:
            tx.skin.add_facts(SkinFacts(panelist_id=who, consent=True, at=now, **dict.fromkeys(EXCLUSIONS, False)))


def _trial(tx: Any, trial_id: str, now: int) -> None:
    from dataclasses import replace

    known = {one.name: one for one in tx.skin.materials()}
    for name in ("Vetiver oil", "Amber base"):
        if name not in known:
            known[name] = Material(f"material {name}", name, natural=name == "Vetiver oil")
            tx.skin.add_material(known[name])
            tx.skin.add_limit(SkinLimit(known[name].id, Decimal(20), DOCUMENT, date(2025, 1, 31), LEFT_ON_SKIN, now))
    lines = (Line(known["Vetiver oil"], Decimal(40), Decimal(10)), Line(known["Amber base"], Decimal(60)))
    tx.formulas.write(trial_id, Formula(lines, out_of=Decimal(100)))
    tx.book.replace_trial(replace(tx.book.trial(trial_id), skin_strength_percent=Decimal(10)))


def on_skin(minutes: int = 30) -> dict[str, Any]:
    """The changes to a plan that put a preference on skin alone."""
    age = StripAge(minutes * 60, minutes * 6)
    return {"method": "preference", "medium": "skin", "ages": (age,), "primary": age.seconds, "asks_nearer": False}


def on_both(minutes: int = 30) -> dict[str, Any]:
    """The changes to a plan that put a 2-AFC on strip and skin."""
    return {"medium": "strip and skin", "skin_ages": (StripAge(minutes * 60, minutes * 6),)}
