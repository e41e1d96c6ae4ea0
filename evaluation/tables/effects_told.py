"""Effects of separated changes as tables: for the screen, for a file, and for the picture."""

from __future__ import annotations

import math

import pandas as pd

from evaluation.counting.profiles import ProfileFound
from evaluation.kinds.separation import together
from evaluation.tables.results import shown, shown_p
from evaluation.wording.of_profiles import age_words, signed
from evaluation.wording.of_separations import made_words


def effects_table(found: ProfileFound) -> pd.DataFrame:
    """Every effect on every descriptor at every age: what was found, with its standing."""
    if found.effects is None:
        return pd.DataFrame()
    told = found.effects.table
    by = "people" if found.effects.by == "person" else "pairs of bottles"
    return pd.DataFrame(
        {
            "effect": [together(one) for one in told["effect"]],
            "descriptor": told["descriptor"].astype(str),
            "age minutes": told["age_minutes"],
            "estimate": [shown(one) for one in told["estimate"]],
            "low": [_end(one) for one in told["low"]],
            "high": [_end(one) for one in told["high"]],
            "p value": [_p(one) for one in told["p_value"]],
            "p family": [_p(one) for one in told["p_family"]],
            by: told["flipped"],
            "left out": told["left_out"],
            "standing": ["tested" if one else "described only" for one in told["in_family"]],
        }
    )


def effects_of(found: ProfileFound, effect: str) -> pd.DataFrame:
    """One effect for the screen."""
    table = effects_table(found)
    own = table[table["effect"] == together(effect)].drop(columns="effect")
    own.insert(1, "age", [age_words(one) for one in own.pop("age minutes")])
    return own.rename(columns={"p value": "p by itself", "p family": "p in the family"})


def effect_rows(found: ProfileFound, descriptor: str) -> pd.DataFrame:
    """Rows for the picture of one descriptor; an interval without an end has none."""
    table = pd.DataFrame() if found.effects is None else found.effects.table
    own = table[(table["descriptor"].astype(str) == descriptor) & table["estimate"].notna()] if len(table) else table
    if own.empty:
        return pd.DataFrame()
    return pd.DataFrame(
        {
            "effect": [together(one) for one in own["effect"]],
            "age": [age_words(one) for one in own["age_minutes"]],
            "estimate": own["estimate"],
            "low": [one if math.isfinite(one) else None for one in own["low"]],
            "high": [one if math.isfinite(one) else None for one in own["high"]],
            "sure": own["in_family"] & (own["p_family"] <= found.alpha),
            "outside": ~own["in_family"],
            "text": [signed(one) for one in own["estimate"]],
        }
    ).astype({"low": float, "high": float})


def bottles_table(found: ProfileFound) -> pd.DataFrame:
    """Which bottle held what."""
    own = found.separation
    if own is None:
        return pd.DataFrame()
    held = [made_words(one, own.changes) for one in own.made]
    return pd.DataFrame({"bottle": found.names, "holds": held})


def _p(value: float) -> str:
    """Nothing where nothing is tested."""
    return "" if math.isnan(value) else shown_p(value)


def _end(limit: float) -> float | None:
    return shown(limit) if math.isfinite(limit) else None
