"""Frames in, altair charts out: the only file that imports altair, and only when a chart is drawn.

Every chart reads in grey (shape and place carry the meaning, one accent marks what was seen), has a transparent
background, takes the width of its place and comes in inks for light and dark. Values are plotted as they are: the
rounding of labels belongs to ``tables``, and what is written in a chart are counts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

import pandas as pd

from evaluation import checks
from evaluation.errors import ArgumentError

if TYPE_CHECKING:
    import altair as alt

# One row per strip age; proportions 0 … 1. ``needed`` and ``needed_share`` may be missing: no count is enough.
GUESS_COLUMNS: Final = (
    "age", "primary", "correct", "assessments", "guessing", "seen", "low", "high", "needed", "needed_share",
)  # fmt: skip
# One row per strip age (or overall). ``share``, ``low``, ``high``: of the ``votes`` in the test, for the first.
PREFERENCE_COLUMNS: Final = ("age", "primary", "first", "none", "second", "votes", "share", "low", "high")

ROW_PIXELS: Final = 84
PREFERENCE_ROW_PIXELS: Final = 142
AXIS_PIXELS: Final = 36  # a page may count the axis into the height
KINDS: Final = ("png", "svg")


@dataclass(frozen=True, slots=True)
class Ink:
    """Colours for one background; the accent keeps its weight in grey."""

    text: str
    quiet: str
    line: str
    accent: str
    pale: str
    on_accent: str
    on_pale: str


LIGHT: Final = Ink("#24211c", "#5b5548", "#857c6b", "#6a3552", "#d6cdbb", "#ffffff", "#24211c")
DARK: Final = Ink("#efe9dc", "#b9b1a0", "#857c6c", "#d9a3c2", "#4a453a", "#1c1a17", "#efe9dc")


def guess_against_seen(frame: pd.DataFrame, *, dark: bool = False, width: int | None = None) -> alt.LayerChart:
    """Answers right at each strip age: what guessing gives, what was seen with its interval, what was needed.

    ``frame`` holds ``GUESS_COLUMNS``, the row at the top first. ``width`` in pixels; None takes what there is.
    """
    import altair as alt

    rows = _rows(frame, GUESS_COLUMNS)
    rows["seen_text"] = [f"{c} of {n} right" for c, n in zip(rows["correct"], rows["assessments"], strict=True)]
    rows["needed_text"] = ["" if pd.isna(n) else f"{int(n)} needed" for n in rows["needed"]]
    rows["guessing_text"] = "guessing"
    ink = _ink(dark)
    base = alt.Chart(rows).encode(y=_row_axis(alt, rows))
    seen, needed, guessing = (_share(alt, rows, name) for name in ("seen", "needed_share", "guessing"))
    layers = (
        base.mark_tick(color=ink.quiet, thickness=2, size=30).encode(x=guessing),
        *_beside(base, "guessing_text", guessing, rows["guessing"], ink.quiet, 25, LEFT_OF),
        base.mark_rule(color=ink.accent, strokeWidth=5, opacity=0.45).encode(x=_share(alt, rows, "low"), x2="high"),
        base.mark_tick(color=ink.text, thickness=3, size=30).encode(x=needed),
        *_beside(base, "needed_text", needed, rows["needed_share"], ink.text, 25, RIGHT_OF),
        base.mark_point(filled=True, color=ink.accent, size=190, opacity=1).encode(x=seen),
        *_beside(base, "seen_text", seen, rows["seen"], ink.accent, -25, weight="bold"),
    )
    return _finish(alt.layer(*layers), ink, ROW_PIXELS * len(rows) + AXIS_PIXELS, width)


def preferences(
    frame: pd.DataFrame, first: str, second: str, *, dark: bool = False, width: int | None = None
) -> alt.LayerChart:
    """People for either trial as one bar with the half-way line; below it the share of the votes in the test.

    ``frame`` holds ``PREFERENCE_COLUMNS``; ``first`` and ``second`` are the labels of the trials.
    """
    import altair as alt

    rows = _rows(frame, PREFERENCE_COLUMNS)
    names = (checks.text("first", first), checks.text("second", second))
    ink = _ink(dark)
    rows["share_text"] = [f"of {n} votes" for n in rows["votes"]]
    pieces = _segments(rows, names)
    bars = alt.Chart(pieces).encode(y=_row_axis(alt, rows))
    share = alt.Chart(rows).encode(y=_row_axis(alt, rows))
    at = _share(alt, rows, "share", PEOPLE_AXIS)
    layers = (
        *_people_bars(alt, bars, ink, pieces["middle"]),
        share.mark_rule(color=ink.accent, strokeWidth=5, opacity=0.45, yOffset=32).encode(
            x=_share(alt, rows, "low", PEOPLE_AXIS), x2="high"
        ),
        share.mark_tick(color=ink.text, thickness=2, size=84, yOffset=4).encode(x=alt.datum(0.5)),
        share.mark_point(filled=True, color=ink.accent, size=170, opacity=1, yOffset=32).encode(x=at),
        *_beside(share, "share_text", at, rows["share"], ink.accent, 52),
    )
    return _finish(alt.layer(*layers), ink, PREFERENCE_ROW_PIXELS * len(rows) + AXIS_PIXELS, width)


def picture(chart: alt.LayerChart, kind: str) -> bytes | None:
    """The chart as a PNG or SVG file on white, drawn without network; None where vl-convert is not installed."""
    checks.choice("kind", kind, KINDS)
    try:
        import vl_convert
    except ImportError:
        return None
    drawn = chart.properties(background="white").to_dict()
    if kind == "svg":
        return str(vl_convert.vegalite_to_svg(drawn)).encode()
    return bytes(vl_convert.vegalite_to_png(drawn, scale=2))


# --- what the charts are made of --------------------------------------------------------------------------------

RIGHT_AXIS: Final = "share of answers right"
PEOPLE_AXIS: Final = "share of people"


def _rows(frame: pd.DataFrame, columns: Sequence[str]) -> pd.DataFrame:
    missing = [name for name in columns if name not in frame.columns]
    if missing or frame.empty:
        lacking = f"it lacks {', '.join(missing)}" if missing else "it is empty"
        raise ArgumentError(f"frame must have one row or more with {', '.join(columns)}; {lacking}.")
    rows = frame.loc[:, list(columns)].reset_index(drop=True)
    several = len(rows) > 1
    rows["row"] = [
        f"{age}|primary" if several and primary else str(age)
        for age, primary in zip(rows["age"], rows["primary"], strict=True)
    ]
    return rows


def _row_axis(alt: Any, rows: pd.DataFrame) -> Any:
    axis = alt.Axis(title=None, ticks=False, domain=False, labelExpr="split(datum.label, '|')", labelFontSize=13)
    return alt.Y("row:N", sort=list(rows["row"]), axis=axis)


def _share(alt: Any, rows: pd.DataFrame, column: str, title: str = RIGHT_AXIS) -> Any:
    axis = alt.Axis(title=title, format=".0%", values=[0, 0.25, 0.5, 0.75, 1], grid=False, labelFontSize=12)
    return alt.X(f"{column}:Q", axis=axis, scale=alt.Scale(domain=[0, 1], nice=False))


# Where a label may stand: (alignment, shift in pixels, from which share, below which share).
OVER: Final = (("left", -8, 0.0, 0.2), ("center", 0, 0.2, 0.8), ("right", 8, 0.8, 1.1))
LEFT_OF: Final = (("center", 0, 0.0, 0.2), ("right", 4, 0.2, 1.1))
RIGHT_OF: Final = (("left", -4, 0.0, 0.75), ("right", 4, 0.75, 1.1))


def _beside(
    base: Any,
    text: str,
    x: Any,
    at: pd.Series[float],
    ink: str,
    dy: int,
    places: Sequence[tuple[str, int, float, float]] = OVER,
    weight: str = "normal",
) -> list[Any]:
    """A label at each mark, aligned so that it stays in the picture and clear of its neighbour."""
    return [
        base.transform_filter(f"datum.{at.name} >= {low} && datum.{at.name} < {high}")
        .mark_text(color=ink, dy=dy, dx=dx, align=align, fontSize=13, fontWeight=weight)
        .encode(x=x, text=text)
        for align, dx, low, high in places
        if at.between(low, high, inclusive="left").any()
    ]


def _segments(rows: pd.DataFrame, names: tuple[str, str]) -> pd.DataFrame:
    """Three pieces of each bar with where they start and end, as shares of the people."""
    pieces = []
    for row in rows.to_dict("records"):
        people = row["first"] + row["none"] + row["second"]
        start = 0
        for who, count in (("first", row["first"]), ("none", row["none"]), ("second", row["second"])):
            piece = {"row": row["row"], "who": who, "people": count, "from": start / people}
            pieces.append(piece | {"to": (start + count) / people, "middle": (start + count / 2) / people})
            start += count
    frame = pd.DataFrame(pieces)
    said = {"first": f"for {names[0]}", "second": f"for {names[1]}", "none": "no preference"}
    frame["text"] = [f"{count} {said[who]}" for who, count in zip(frame["who"], frame["people"], strict=True)]
    frame["count_text"] = [str(count) if count else "" for count in frame["people"]]
    frame["edge"] = [{"first": 0.0, "none": 0.5, "second": 1.0}[who] for who in frame["who"]]
    return frame


def _people_bars(alt: Any, bars: Any, ink: Ink, middle: pd.Series[float]) -> list[Any]:
    start = alt.X("from:Q", axis=alt.Axis(title=PEOPLE_AXIS, format=".0%", values=[0, 0.25, 0.5, 0.75, 1], grid=False))
    fills = (("first", ink.accent, ink.on_accent), ("none", "transparent", ink.text), ("second", ink.pale, ink.on_pale))
    layers = []
    for who, fill, on_fill in fills:
        mine = bars.transform_filter(f"datum.who == '{who}'")
        layers.append(
            mine.mark_bar(color=fill, stroke=ink.line, strokeWidth=1, size=30, yOffset=-20).encode(x=start, x2="to")
        )
        layers.append(
            mine.mark_text(color=on_fill, fontSize=14, fontWeight="bold", dy=-20).encode(
                x="middle:Q", text="count_text"
            )
        )
    for who, align in (("first", "left"), ("second", "right")):
        mine = bars.transform_filter(f"datum.who == '{who}'")
        layers.append(
            mine.mark_text(color=ink.text, align=align, dy=-46, fontSize=13, limit=150).encode(x="edge:Q", text="text")
        )
    none = bars.transform_filter("datum.who == 'none' && datum.people > 0")
    layers += _beside(none, "text", alt.X("middle:Q"), middle, ink.quiet, 8)
    return layers


def _ink(dark: bool) -> Ink:
    return DARK if dark else LIGHT


def _finish(chart: Any, ink: Ink, height: int, width: int | None) -> alt.LayerChart:
    finished: alt.LayerChart = (
        chart.properties(width="container" if width is None else width, height=height, background="transparent")
        .configure(font="Source Sans, sans-serif")
        .configure_view(stroke=None)
        .configure_axis(labelColor=ink.quiet, titleColor=ink.quiet, domainColor=ink.line, tickColor=ink.line)
    )
    return finished
