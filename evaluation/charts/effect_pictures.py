"""Effects of separated changes over the dry-down: a panel for each effect, a mark with its interval at each age."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Final

import pandas as pd

from evaluation.charts.ink import finish, ink_on
from evaluation.errors import ArgumentError
from evaluation.ground.tables_digits import fixed

if TYPE_CHECKING:
    import altair as alt

# ``sure``: the family shows it; ``outside``: described only; ``low`` and ``high`` are missing where an interval has no
# end; ``text``: what stands beside the mark.
EFFECT_COLUMNS: Final = ("effect", "age", "estimate", "low", "high", "sure", "outside", "text")
PANEL_PIXELS: Final = 118
LEAST_REACH: Final = 1.0  # points: a chart of nothing does not blow nothing up


def effects_over_ages(
    rows: pd.DataFrame, effects: Sequence[str], ages: Sequence[str], *, dark: bool = False, width: int | None = None
) -> alt.LayerChart:
    """One descriptor: a panel for each effect, one below the other, on one scale of points.

    A full mark is shown by the family, a ring is not, a cross is described only; the bar is the interval by itself.
    """
    import altair as alt

    lacking = [name for name in EFFECT_COLUMNS if name not in rows.columns]
    if lacking or rows.empty:
        raise ArgumentError(f"rows must be one or more with {', '.join(EFFECT_COLUMNS)}; {lacking or 'none is there'}.")
    cells = rows.loc[:, list(EFFECT_COLUMNS)].reset_index(drop=True)
    reach = max(LEAST_REACH, float(cells[["estimate", "low", "high"]].abs().max().max())) * 1.12
    there = [one for one in effects if (cells["effect"] == one).any()]
    cells["place"] = cells["effect"].map({one: -2.0 * reach * at for at, one in enumerate(there)})
    for name in ("estimate", "low", "high"):
        cells[f"at {name}"] = cells[name] + cells["place"]
    return finish(_layers(alt, cells, there, ages, reach, dark), ink_on(dark), PANEL_PIXELS * len(there) + 40, width)


def _layers(
    alt: Any, cells: pd.DataFrame, effects: Sequence[str], ages: Sequence[str], reach: float, dark: bool
) -> Any:
    """Panels one below the other on one long axis, each with its own 0: so the chart is as wide as its place."""
    ink, lowest = ink_on(dark), reach - 2.0 * reach * len(effects)
    x = alt.X("age:N", sort=list(ages), title=None, axis=alt.Axis(labelAngle=0), scale=alt.Scale(domain=list(ages)))
    long = alt.Scale(domain=[lowest, reach], nice=False)

    def y(name: str) -> Any:
        return alt.Y(f"{name}:Q", scale=long, axis=None)

    zeros = pd.DataFrame({"zero": [-2.0 * reach * at for at in range(len(effects))], "effect": list(effects)})
    zeros["top"] = zeros["zero"] + reach
    zeros["scale"], zeros["end"] = "0 points", f"dotted: +{fixed(reach, 1)}"
    base = alt.Chart(cells).encode(x=x)
    marks = base.encode(y=y("at estimate"), tooltip=["effect:N", "age:N", "text:N"])
    panels = alt.Chart(zeros)
    layers = (
        panels.mark_rule(color=ink.line).encode(y=y("zero")),
        panels.mark_rule(color=ink.pale, strokeDash=[2, 4]).encode(y=y("top")),
        panels.mark_text(
            align="left", baseline="top", dx=4, dy=6, fontSize=13, fontWeight="bold", color=ink.text
        ).encode(x=alt.value(0), y=y("top"), text="effect:N"),
        panels.mark_text(align="left", baseline="bottom", dx=4, dy=-2, fontSize=10, color=ink.quiet).encode(
            x=alt.value(0), y=y("zero"), text="scale:N"
        ),
        panels.mark_text(align="right", baseline="top", dx=-4, dy=6, fontSize=10, color=ink.quiet).encode(
            x=alt.value("width"), y=y("top"), text="end:N"
        ),
        base.transform_filter("isValid(datum.low) && isValid(datum.high)")
        .mark_rule(strokeWidth=4, opacity=0.45, color=ink.accent)
        .encode(y=y("at low"), y2="at high"),
        marks.transform_filter("datum.sure").mark_point(filled=True, size=110, opacity=1, color=ink.accent),
        marks.transform_filter("!datum.sure && !datum.outside").mark_point(
            filled=False, size=110, opacity=1, color=ink.accent, strokeWidth=2
        ),
        marks.transform_filter("datum.outside").mark_point(shape="cross", size=70, color=ink.quiet, opacity=1),
        marks.mark_text(dx=24, dy=-8, fontSize=11, color=ink.text).encode(text="text:N"),
    )
    return alt.layer(*layers)
