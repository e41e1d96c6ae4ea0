"""Frames in, altair charts out: the only package that imports altair, and only when a chart is drawn.

Every chart reads in grey (shape and place carry the meaning, one accent marks what was seen), has a transparent
background, takes the width of its place and comes in inks for light and dark. Values are plotted as they are: the
rounding of labels belongs to ``tables``, and what is written in a chart are counts.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Final

import pandas as pd

from evaluation.charts.ink import DARK, LIGHT, Ink, finish, ink_on
from evaluation.errors import ArgumentError
from evaluation.ground import checks

if TYPE_CHECKING:
    import altair as alt

# One row per strip age; proportions 0 … 1. ``needed`` and ``needed_share`` may be missing: no count is enough.
GUESS_COLUMNS: Final = (
    "age", "primary", "correct", "assessments", "guessing", "seen", "low", "high", "needed", "needed_share",
)  # fmt: skip
# One row per strip age (or overall). ``share``, ``low``, ``high``: of the ``votes`` in the test, for the first.
PREFERENCE_COLUMNS: Final = ("age", "primary", "first", "none", "second", "votes", "share", "low", "high")
# One row per method and number of assessments; ``power`` 0 … 1. ``planned`` marks the rows of the plan's own method.
POWER_COLUMNS: Final = ("method", "assessments", "power", "planned")

ROW_PIXELS: Final = 84
PREFERENCE_ROW_PIXELS: Final = 142
AXIS_PIXELS: Final = 36  # a page may count the axis into the height
POWER_PIXELS: Final = 320
KINDS: Final = ("png", "svg", "pdf")

__all__ = [
    "DARK",
    "LIGHT",
    "Ink",
    "guess_against_seen",
    "path_within_limits",
    "picture",
    "power_surface",
    "preferences",
]


def guess_against_seen(frame: pd.DataFrame, *, dark: bool = False, width: int | None = None) -> alt.LayerChart:
    """Answers right at each strip age: what guessing gives, what was seen with its interval, what was needed.

    ``frame`` holds ``GUESS_COLUMNS``, the row at the top first. ``width`` in pixels; None takes what there is.
    """
    import altair as alt

    rows = _rows(frame, GUESS_COLUMNS)
    rows["seen_text"] = [f"{c} of {n} right" for c, n in zip(rows["correct"], rows["assessments"], strict=True)]
    rows["needed_text"] = ["" if pd.isna(n) else f"{int(n)} needed" for n in rows["needed"]]
    rows["guessing_text"] = "guessing"
    ink = ink_on(dark)
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
    return finish(alt.layer(*layers), ink, ROW_PIXELS * len(rows) + AXIS_PIXELS, width)


def preferences(
    frame: pd.DataFrame, first: str, second: str, *, dark: bool = False, width: int | None = None
) -> alt.LayerChart:
    """People for either trial as one bar with the half-way line; below it the share of the votes in the test.

    ``frame`` holds ``PREFERENCE_COLUMNS``; ``first`` and ``second`` are the labels of the trials. Whoever leads in the
    row that decides (the primary one, else the last) has its bar on the left, from 0, and the share below is its own:
    the dot measures the side it is read from, and says so.
    """
    import altair as alt

    rows = _rows(frame, PREFERENCE_COLUMNS)
    names = (checks.text("first", first), checks.text("second", second))
    if _second_leads(rows):
        rows, names = _turned(rows), names[::-1]
    ink = ink_on(dark)
    rows["share_text"] = [f"of {n} votes for {names[0]}" for n in rows["votes"]]
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
    return finish(alt.layer(*layers), ink, PREFERENCE_ROW_PIXELS * len(rows) + AXIS_PIXELS, width)


def power_surface(
    frame: pd.DataFrame, planned: int, wanted: float, *, dark: bool = False, width: int | None = None
) -> alt.LayerChart:
    """Exact power against the number of assessments, one line per method, teeth and all, with the plan as a point.

    ``frame`` holds ``POWER_COLUMNS``; ``planned`` is the plan's number of assessments, ``wanted`` its power.
    """
    import altair as alt

    rows = _complete(frame, POWER_COLUMNS)
    rows["place"] = rows["method"].map({name: place for place, name in enumerate(rows["method"].unique())})
    ink = ink_on(dark)
    x, y = _assessments_axis(alt, rows), _power_axis(alt)
    names = _line_names(rows)
    here = rows[rows["planned"] & (rows["assessments"] == planned)].assign(text=f"{planned} planned", floor=0.0)
    ends = rows["assessments"].agg(["min", "max"]).tolist()
    wanted_line = alt.Chart(pd.DataFrame({"assessments": ends, "power": [wanted, wanted]}))
    layers = [
        wanted_line.mark_line(color=ink.line, strokeDash=[1, 3]).encode(x=x, y=y),
        *(_power_line(alt.Chart(mine), ink, x, y) for _, mine in rows.groupby("method", sort=False)),
        *_named_lines(alt, names, ink),
        alt.Chart(here).mark_rule(color=ink.accent, strokeWidth=1).encode(x=x, y=y, y2="floor"),
        alt.Chart(here).mark_point(filled=True, color=ink.accent, size=190, opacity=1).encode(x=x, y=y),
        alt.Chart(here)
        .mark_text(color=ink.accent, align="left", dx=6, dy=-9, fontSize=13, fontWeight="bold")
        .encode(x=x, y="floor:Q", text="text"),
    ]
    return finish(alt.layer(*layers), ink, POWER_PIXELS, width)


def picture(chart: alt.LayerChart, kind: str) -> bytes | None:
    """The chart as a PNG, SVG or PDF file on white, drawn without network; None where vl-convert is not installed."""
    checks.choice("kind", kind, KINDS)
    try:
        import vl_convert
    except ImportError:
        return None
    drawn = chart.properties(background="white").to_dict()
    if kind == "svg":
        return str(vl_convert.vegalite_to_svg(drawn)).encode()
    if kind == "pdf":
        return bytes(vl_convert.vegalite_to_pdf(drawn))
    return bytes(vl_convert.vegalite_to_png(drawn, scale=2))


# --- what the charts are made of --------------------------------------------------------------------------------

RIGHT_AXIS: Final = "share of answers right"
PEOPLE_AXIS: Final = "share of people"


def _complete(frame: pd.DataFrame, columns: Sequence[str]) -> pd.DataFrame:
    missing = [name for name in columns if name not in frame.columns]
    if missing or frame.empty:
        lacking = f"it lacks {', '.join(missing)}" if missing else "it is empty"
        raise ArgumentError(f"frame must have one row or more with {', '.join(columns)}; {lacking}.")
    return frame.loc[:, list(columns)].reset_index(drop=True)


def _rows(frame: pd.DataFrame, columns: Sequence[str]) -> pd.DataFrame:
    rows = _complete(frame, columns)
    several = len(rows) > 1
    rows["row"] = [
        f"{age}|primary" if several and primary else str(age)
        for age, primary in zip(rows["age"], rows["primary"], strict=True)
    ]
    return rows


def _row_axis(alt: Any, rows: pd.DataFrame) -> Any:
    words, clear_of_a_dot_at_0 = "split(datum.label, '|')", 10
    axis = alt.Axis(
        title=None, ticks=False, domain=False, labelExpr=words, labelFontSize=13, labelPadding=clear_of_a_dot_at_0
    )
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


def _second_leads(rows: pd.DataFrame) -> bool:
    deciding = rows[rows["primary"].astype(bool)].tail(1)
    last = (deciding if len(deciding) else rows.tail(1)).iloc[0]
    return bool(last["second"] > last["first"])


def _turned(rows: pd.DataFrame) -> pd.DataFrame:
    """The same rows told from the other trial."""
    counts = {"first": rows["second"], "second": rows["first"]}
    return rows.assign(**counts, share=1 - rows["share"], low=1 - rows["high"], high=1 - rows["low"])


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
    # Who has more votes is filled dark, whichever trial it is; even ones are both pale. The names say it in words.
    frame["fill"] = [
        "none" if who == "none" else "leads" if count > other else "other"
        for who, count, other in zip(frame["who"], frame["people"], _other_side(frame), strict=True)
    ]
    frame["edge"] = [{"first": 0.0, "none": 0.5, "second": 1.0}[who] for who in frame["who"]]
    return frame


def _other_side(pieces: pd.DataFrame) -> list[int]:
    """Beside each piece the people on the other side; the pieces of a bar are first, none, second."""
    people = pieces["people"].tolist()
    return [people[place - place % 3 + 2 - place % 3] for place in range(len(people))]


def _people_bars(alt: Any, bars: Any, ink: Ink, middle: pd.Series[float]) -> list[Any]:
    start = alt.X("from:Q", axis=alt.Axis(title=PEOPLE_AXIS, format=".0%", values=[0, 0.25, 0.5, 0.75, 1], grid=False))
    fills = (("leads", ink.accent, ink.on_accent), ("none", "transparent", ink.text), ("other", ink.pale, ink.on_pale))
    layers = []
    for part, fill, on_fill in fills:
        mine = bars.transform_filter(f"datum.fill == '{part}'")
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


# How the lines of the methods differ besides their names; the plan's own is solid and heavy.
DASHES: Final = ([7, 3], [2, 2], [10, 3, 2, 3], [4, 4], [1, 3])
NAMES_SHARE: Final = 0.34  # of the width the lines take, kept free for their names
LEAST_GAP: Final = 0.068  # between two names, in power


def _assessments_axis(alt: Any, rows: pd.DataFrame) -> Any:
    start, end = int(rows["assessments"].min()), int(rows["assessments"].max())
    step = next(size for size in (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000) if (end - start) / size <= 6)
    ticks = list(range(-(-start // step) * step, end + 1, step))
    axis = alt.Axis(title="answers", values=ticks, format="d", grid=False, labelFontSize=12, titleAnchor="start")
    reach = end + (end - start) * NAMES_SHARE
    return alt.X("assessments:Q", axis=axis, scale=alt.Scale(domain=[start - 1, reach], nice=False, zero=False))


def _power_axis(alt: Any) -> Any:
    axis = alt.Axis(title="power", format=".0%", values=[0, 0.25, 0.5, 0.75, 1], grid=False, labelFontSize=12)
    return alt.Y("power:Q", axis=axis, scale=alt.Scale(domain=[0, 1], nice=False))


def _power_line(chart: Any, ink: Ink, x: Any, y: Any) -> Any:
    """One method: straight from number to number, so that every tooth is seen."""
    own, place = bool(chart.data["planned"].iloc[0]), int(chart.data["place"].iloc[0])
    if own:
        return chart.mark_line(color=ink.accent, strokeWidth=3).encode(x=x, y=y)
    return chart.mark_line(color=ink.text, strokeWidth=1.4, strokeDash=DASHES[place % len(DASHES)]).encode(x=x, y=y)


def _line_names(rows: pd.DataFrame) -> pd.DataFrame:
    """The end of every line, and where its name stands: at it, or moved until no two names touch."""
    ends = rows.groupby("method", sort=False).tail(1).sort_values("power", ascending=False)
    span = int(rows["assessments"].max()) - int(rows["assessments"].min())
    return ends.assign(
        at=_spread(list(ends["power"])),
        bend=ends["assessments"] + span * 0.05,
        name_at=ends["assessments"] + span * 0.06,
    )


def _spread(heights: Sequence[float]) -> list[float]:
    """Heights from the top down, moved apart by the least gap and kept within the picture."""
    placed: list[float] = []
    for height in heights:
        placed.append(min([height, 0.98, *(one - LEAST_GAP for one in placed[-1:])]))
    floor = 0.02
    for place in reversed(range(len(placed))):
        placed[place] = max(placed[place], floor)
        floor = placed[place] + LEAST_GAP
    return placed


def _named_lines(alt: Any, names: pd.DataFrame, ink: Ink) -> list[Any]:
    at = alt.Y("at:Q")
    layers = []
    for own, colour, weight in ((True, ink.accent, "bold"), (False, ink.text, "normal")):
        mine = alt.Chart(names[names["planned"] == own])
        if names["planned"].eq(own).any():
            layers += [
                mine.mark_rule(color=colour, strokeWidth=0.8).encode(
                    x="assessments:Q", y="power:Q", x2="bend", y2="at"
                ),
                mine.mark_text(color=colour, align="left", fontSize=13, fontWeight=weight).encode(
                    x="name_at:Q", y=at, text="method:N"
                ),
            ]
    return layers


# --- a sequential session -----------------------------------------------------------------------------------------

# One row per look planned; ``lower`` or ``upper`` missing where it cannot stop there, ``correct`` where none was taken.
LOOK_COLUMNS: Final = ("assessments", "lower", "upper", "correct")
LOOKS_PIXELS: Final = 300
NAMED_LIMITS: Final = 1.24  # room at the right for the names of the limits


def path_within_limits(
    frame: pd.DataFrame, *, lower_says: str = "not noticed", dark: bool = False, width: int | None = None
) -> alt.LayerChart:
    """Right answers at each look as a path between the two limits that stop the session.

    ``frame`` holds ``LOOK_COLUMNS``; ``lower_says`` is what the lower limit stands for.
    """
    import altair as alt

    rows = frame.loc[:, list(LOOK_COLUMNS)].astype(float)
    ink, last = ink_on(dark), float(rows["assessments"].max())
    x = alt.X(
        "assessments:Q", axis=_looks_axis(alt, rows), scale=alt.Scale(domain=[0, last * NAMED_LIMITS], nice=False)
    )
    top = float(rows[["upper", "correct"]].max().max())
    scale = alt.Scale(domain=[0, (last if pd.isna(top) else top) + 1.5], nice=False)
    layers: list[Any] = []
    for column, says in (("upper", "noticed"), ("lower", lower_says)):
        layers += _limit(alt, rows, column, says, ink, x, _right_axis(alt, column, scale))
    taken = rows.dropna(subset=["correct"])[["assessments", "correct"]]
    path = alt.Chart(pd.concat([pd.DataFrame({"assessments": [0.0], "correct": [0.0]}), taken]))
    at, seen = _right_axis(alt, "correct", scale), alt.Chart(taken.tail(1).assign(text=_right_text(taken)))
    layers += [
        path.mark_line(color=ink.accent, strokeWidth=3).encode(x=x, y=at),
        alt.Chart(taken).mark_point(filled=True, color=ink.accent, size=120, opacity=1).encode(x=x, y=at),
        seen.mark_text(color=ink.accent, align="right", dx=-9, dy=-6, fontSize=13, fontWeight="bold").encode(
            x=x, y=at, text="text:N"
        ),
    ]
    return finish(alt.layer(*layers), ink, LOOKS_PIXELS, width)


def _right_text(taken: pd.DataFrame) -> list[str]:
    return [f"{int(row.correct)} right" for row in taken.tail(1).itertuples()]


def _looks_axis(alt: Any, rows: pd.DataFrame) -> Any:
    """Ticks at looks, at most eight of them."""
    totals = [int(total) for total in rows["assessments"]]
    ticks = [0, *totals[:: -(-len(totals) // 8)]]
    return alt.Axis(title="answers looked at", values=ticks, format="d", grid=False, labelFontSize=12)


def _right_axis(alt: Any, column: str, scale: Any) -> Any:
    axis = alt.Axis(title="answers right", format="d", tickMinStep=1, grid=False, labelFontSize=12)
    return alt.Y(f"{column}:Q", axis=axis, scale=scale)


def _limit(alt: Any, rows: pd.DataFrame, column: str, says: str, ink: Ink, x: Any, y: Any) -> list[Any]:
    """One limit: a mark at each look where it can stop, named at its last one."""
    known = rows.dropna(subset=[column])[["assessments", column]]
    if known.empty:
        return []
    chart, end = alt.Chart(known), alt.Chart(known.tail(1).assign(text=says))
    return [
        chart.mark_line(color=ink.line, strokeDash=[4, 3], strokeWidth=1.4).encode(x=x, y=y),
        chart.mark_tick(color=ink.text, thickness=3, size=18, orient="horizontal").encode(x=x, y=y),
        end.mark_text(color=ink.text, align="left", dx=14, fontSize=13).encode(x=x, y=y, text="text:N"),
    ]
