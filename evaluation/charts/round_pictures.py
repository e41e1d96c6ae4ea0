"""Charts of rounds and rankings: people for each pair, and merits as the chance of being preferred to the best.

Who leads stands in front and is named in words; the colour only repeats it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import pandas as pd

from evaluation.charts.ink import finish, ink_on
from evaluation.errors import ArgumentError

if TYPE_CHECKING:
    import altair as alt

# ``front`` has at least as many people as ``back``; ``said``: "shown", "camps" or "open".
PAIR_COLUMNS: Final = ("front", "back", "for_front", "for_back", "even", "said")
MERIT_COLUMNS: Final = ("trial", "best", "low", "chance", "high")
PAIR_PIXELS: Final = 62
MERIT_PIXELS: Final = 54
AXIS_PIXELS: Final = 40


def pairs(frame: pd.DataFrame, *, dark: bool = False, width: int | None = None) -> alt.LayerChart:
    """People for either of two trials, one bar a pair; filled where a preference of the panel is shown."""
    import altair as alt

    rows, ink = _complete(frame, PAIR_COLUMNS), ink_on(dark)
    pieces = _pieces(rows)
    y = alt.Y("row:N", sort=list(dict.fromkeys(pieces["row"])), axis=None)
    x = alt.X("start:Q", axis=_axis(alt, "share of people"), scale=alt.Scale(domain=[0, 1], nice=False))
    bars = alt.Chart(pieces).encode(y=y)
    layers: list[Any] = []
    for fill, colour, on_colour in (("accent", ink.accent, ink.on_accent), ("pale", ink.pale, ink.on_pale)):
        mine = bars.transform_filter(f"datum.fill == '{fill}'")
        layers += [
            mine.mark_bar(color=colour, stroke=ink.line, size=22, yOffset=10).encode(x=x, x2="end"),
            mine.mark_text(color=on_colour, fontSize=13, fontWeight="bold", dy=10).encode(x="middle:Q", text="count"),
        ]
    blank = bars.transform_filter("datum.fill == 'blank'")
    layers += [
        blank.mark_bar(color="transparent", stroke=ink.line, size=22, yOffset=10).encode(x=x, x2="end"),
        blank.mark_text(color=ink.text, fontSize=13, dy=10).encode(x="middle:Q", text="count"),
    ]
    sides: tuple[tuple[str, Any, float], ...] = (("front", "left", 0.0), ("back", "right", 1.0))
    for side, align, at in sides:
        named = bars.transform_filter(f"datum.side == '{side}'")
        layers.append(
            named.mark_text(color=ink.text, align=align, dy=-12, fontSize=13, limit=190).encode(
                x=alt.datum(at), text="text"
            )
        )
    layers.append(
        alt.Chart(pd.DataFrame({"half": [0.5]})).mark_rule(color=ink.text, strokeDash=[2, 3]).encode(x="half:Q")
    )
    return finish(alt.layer(*layers), ink, PAIR_PIXELS * len(rows) + AXIS_PIXELS, width)


def merits(frame: pd.DataFrame, *, dark: bool = False, width: int | None = None) -> alt.LayerChart:
    """Chance of each trial to be preferred to the best, with its interval; the dashed line is even chances."""
    import altair as alt

    rows, ink = _complete(frame, MERIT_COLUMNS), ink_on(dark)
    best = str(rows["best"].iloc[0])
    y = alt.Y(
        "trial:N", sort=list(rows["trial"]), axis=alt.Axis(title=None, ticks=False, domain=False, labelFontSize=13)
    )
    scale = alt.Scale(domain=[0, 1], nice=False)
    axis = _axis(alt, f"chance of being preferred to {best}")
    base = alt.Chart(rows).encode(y=y)
    layers = (
        alt.Chart(pd.DataFrame({"half": [0.5]})).mark_rule(color=ink.text, strokeDash=[2, 3]).encode(x="half:Q"),
        base.mark_rule(color=ink.accent, strokeWidth=5, opacity=0.45).encode(
            x=alt.X("low:Q", axis=axis, scale=scale), x2="high"
        ),
        base.mark_point(filled=True, color=ink.accent, size=170, opacity=1).encode(
            x=alt.X("chance:Q", axis=axis, scale=scale)
        ),
    )
    return finish(alt.layer(*layers), ink, MERIT_PIXELS * len(rows) + AXIS_PIXELS, width)


def _axis(alt: Any, title: str) -> Any:
    return alt.Axis(title=title, format=".0%", values=[0, 0.25, 0.5, 0.75, 1], grid=False, labelFontSize=12)


def _complete(frame: pd.DataFrame, columns: tuple[str, ...]) -> pd.DataFrame:
    if frame.empty or not set(columns) <= set(frame.columns):
        raise ArgumentError(f"frame must have one row or more with {', '.join(columns)}.")
    return frame.loc[:, list(columns)].reset_index(drop=True)


def _pieces(rows: pd.DataFrame) -> pd.DataFrame:
    """Three pieces of each bar as shares of the people."""
    pieces = []
    for row in rows.to_dict("records"):
        people = max(1, row["for_front"] + row["even"] + row["for_back"])
        start = 0.0
        ahead = "accent" if row["said"] == "shown" else "pale"
        both = (("front", row["for_front"], ahead), ("even", row["even"], "blank"), ("back", row["for_back"], "pale"))
        for side, number, fill in both:
            end = start + number / people
            pieces.append(
                {
                    "row": f"{row['front']}|{row['back']}", "side": side, "fill": fill, "start": start, "end": end,
                    "middle": (start + end) / 2, "count": str(number) if number else "", "text": _text(row, side),
                }
            )  # fmt: skip
            start = end
    return pd.DataFrame(pieces)


def _text(row: dict[Any, Any], side: str) -> str:
    return {
        "front": f"{row['for_front']} for trial {row['front']}",
        "back": f"{row['for_back']} for trial {row['back']}",
    }.get(side, "")
