"""Charts of a profile: curves over the ages, the map of what moved, each trial against the brief, strength, a panelist.

Trials differ by shape and dash, one of them also by the accent; direction on the map is a colour that grows darker both
ways from the paper with its sign written in the cell, so that all of it reads in grey.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Final

import pandas as pd

from evaluation.charts.ink import Ink, finish, ink_on
from evaluation.errors import ArgumentError
from evaluation.ground import checks

if TYPE_CHECKING:
    import altair as alt

PEOPLE_COLUMNS: Final = ("trial", "age_minutes", "panelist", "rating")
MEAN_COLUMNS: Final = ("trial", "age_minutes", "mean", "low", "high")
# ``sure``: in the family and its p within alpha; ``outside``: outside the family; ``text``: what stands in the cell.
MAP_COLUMNS: Final = ("descriptor", "age", "difference", "sure", "outside", "text")
POINT_COLUMNS: Final = ("descriptor", "trial", "mean", "low", "high")
TARGET_COLUMNS: Final = ("descriptor", "value", "kind")
CURVE_COLUMNS: Final = ("trial", "age_minutes", "mean", "fitted")
PERSON_COLUMNS: Final = ("descriptor", "lowest", "highest", "mean", "mean_others")

SHAPES: Final = ("circle", "square", "triangle-up", "diamond", "cross", "triangle-down")
DASHES: Final = ([1, 0], [7, 3], [2, 2], [10, 3, 2, 3], [4, 4], [1, 3])
TIMES: Final = ("log", "linear")
CURVE_PIXELS: Final = 340
ROW_PIXELS: Final = 38
LEGEND_PIXELS: Final = 84  # legend above, axis and its title below: rows keep their height beside them
# Two hues that colour-blind people tell apart (orange and blue), each as dark as the other at its end.
LESS: Final = {False: "#a04000", True: "#f0a860"}
MORE: Final = {False: "#1d4f7a", True: "#8cc0ee"}
POINTS_AXIS: Final = "points, 0 to 10"


def dry_down(
    people: pd.DataFrame, means: pd.DataFrame, names: Sequence[str], *, time: str = "log", dark: bool = False,
    width: int | None = None,
) -> alt.LayerChart:  # fmt: skip
    """One descriptor over the ages: a dot for each person, and each trial's mean with its interval.

    ``people`` holds ``PEOPLE_COLUMNS``, ``means`` ``MEAN_COLUMNS``; ``names`` all trials, which keep their marks.
    """
    import altair as alt

    checks.choice("time", time, TIMES)
    dots, line, ink = _complete(people, PEOPLE_COLUMNS), _complete(means, MEAN_COLUMNS), ink_on(dark)
    ages = sorted(line["age_minutes"].unique())
    dots, line = _beside_each_other(dots, names, ages, time), _beside_each_other(line, names, ages, time)
    x, y = _time_axis(alt, ages, time), _points_axis(alt, "rating")
    layers = [
        alt.Chart(dots).mark_point(size=20, opacity=0.34, filled=True).encode(
            x=x, y=y, color=_colour(alt, names, ink), shape=_shape(alt, names),
            tooltip=["panelist:N", "trial:N", "rating:Q"],
        )
    ]  # fmt: skip
    layers += _mean_lines(alt, line, names, ink, x)
    return finish(alt.layer(*layers), ink, CURVE_PIXELS, width)


def strength(
    curve: pd.DataFrame, names: Sequence[str], threshold: float, *, time: str = "log", dark: bool = False,
    width: int | None = None,
) -> alt.LayerChart:  # fmt: skip
    """How strength falls: means as marks, the fitted curve of each trial, and the threshold as a line.

    ``curve`` holds ``CURVE_COLUMNS``.
    """
    import altair as alt

    checks.choice("time", time, TIMES)
    rows, ink = _complete(curve, CURVE_COLUMNS), ink_on(dark)
    ages = sorted(rows["age_minutes"].unique())
    x = _time_axis(alt, ages, time)
    wanted = pd.DataFrame({"place": [min(ages), max(ages)], "threshold": threshold, "text": f"threshold {threshold:g}"})
    level = alt.Chart(wanted).encode(x=x, y=_points_axis(alt, "threshold"))
    rows = rows.assign(place=rows["age_minutes"])
    base = alt.Chart(rows).encode(
        x=x, color=_colour(alt, names, ink), strokeDash=_dash(alt, names), shape=_shape(alt, names)
    )
    layers = (
        level.mark_line(color=ink.text, strokeDash=[1, 3]),
        level.transform_filter(f"datum.place == {min(ages)}").mark_text(
            color=ink.text, align="left", dy=-8, dx=4, fontSize=12
        ).encode(text="text:N"),
        base.mark_line(strokeWidth=2.5).encode(y=_points_axis(alt, "fitted"), shape=alt.Undefined),
        base.mark_point(size=90, filled=True, opacity=1).encode(y=_points_axis(alt, "mean"), strokeDash=alt.Undefined),
    )  # fmt: skip
    return finish(alt.layer(*layers), ink, CURVE_PIXELS, width)


def difference_map(
    rows: pd.DataFrame, ages: Sequence[str], second: str, *, dark: bool = False, width: int | None = None
) -> alt.LayerChart:
    """Descriptor by age: the size of a disc is the size of the difference, its colour the direction, and a heavy ring
    says that the family shows it; a row outside the family is a cross.

    ``rows`` holds ``MAP_COLUMNS``, the row at the top first; ``second`` is the trial that has more where blue.
    """
    import altair as alt

    cells, ink = _complete(rows, MAP_COLUMNS), ink_on(dark)
    cells["size"] = cells["difference"].abs()
    cells["way"] = ["more" if one >= 0 else "less" for one in cells["difference"]]
    base = alt.Chart(cells).encode(x=_age_places(alt, ages), y=_word_places(alt, cells))
    inside = base.transform_filter("!datum.outside")
    size = alt.Size("size:Q", scale=alt.Scale(domain=[0, max(3.0, float(cells["size"].max()))], range=[8, 820]),
                    legend=None)  # fmt: skip
    way = alt.Color(
        "way:N",
        scale=alt.Scale(domain=["more", "less"], range=[MORE[dark], LESS[dark]]),
        legend=None,
    )
    layers = (
        inside.mark_point(filled=True, shape="circle").encode(
            size=size, color=way, opacity=alt.condition("datum.sure", alt.value(1.0), alt.value(0.38))
        ),
        inside.transform_filter("datum.sure").mark_point(
            filled=False, shape="circle", stroke=ink.text, strokeWidth=2.5, opacity=1
        ).encode(size=size),
        base.transform_filter("datum.outside").mark_point(shape="cross", color=ink.quiet, size=60),
        base.mark_text(dy=21, fontSize=11, color=ink.text).encode(
            text="text:N", opacity=alt.condition("datum.sure", alt.value(1.0), alt.value(0.8))
        ),
    )  # fmt: skip
    words = cells["descriptor"].nunique()
    return finish(alt.layer(*layers), ink, 58 * words + 30, width)


def at_one_age(
    points: pd.DataFrame, targets: pd.DataFrame, names: Sequence[str], *, dark: bool = False, width: int | None = None
) -> alt.LayerChart:
    """The profile of each trial at one age, a row for each descriptor, with what the brief aims at as a bracket.

    ``points`` holds ``POINT_COLUMNS``, ``targets`` ``TARGET_COLUMNS`` or no row.
    """
    import altair as alt

    rows, ink = _complete(points, POINT_COLUMNS), ink_on(dark)
    place = {name: number for number, name in enumerate(names)}
    middle = (len(names) - 1) / 2
    layers: list[Any] = []
    y = _word_places(alt, rows)
    if len(targets):
        layers += _targets(alt, _complete(targets, TARGET_COLUMNS), y, ink)
    for name in names:
        own, shift = alt.Chart(rows[rows["trial"] == name]), (place[name] - middle) * 9
        colour = _colour(alt, names, ink)
        layers += [
            own.mark_rule(strokeWidth=4, opacity=0.4, yOffset=shift).encode(
                x=_points_across(alt, "low"), x2="high", y=y, color=colour
            ),
            own.mark_point(size=95, filled=True, opacity=1, yOffset=shift).encode(
                x=_points_across(alt, "mean"), y=y, color=colour, shape=_shape(alt, names)
            ),
        ]
    return finish(alt.layer(*layers), ink, ROW_PIXELS * rows["descriptor"].nunique() + LEGEND_PIXELS, width)


def one_panelist(rows: pd.DataFrame, *, dark: bool = False, width: int | None = None) -> alt.LayerChart:
    """One person beside the others, a row for each descriptor: the band from lowest to highest rating given, the own
    mean as a dot, the others' as a ring. ``rows`` holds ``PERSON_COLUMNS``.
    """
    import altair as alt

    own, ink = _complete(rows, PERSON_COLUMNS), ink_on(dark)
    base = alt.Chart(own).encode(y=_word_places(alt, own))
    layers = (
        base.mark_rule(color=ink.pale, strokeWidth=12).encode(x=_points_across(alt, "lowest"), x2="highest"),
        base.mark_point(filled=False, color=ink.text, size=150, strokeWidth=2, opacity=1).encode(
            x=_points_across(alt, "mean_others")
        ),
        base.mark_point(filled=True, color=ink.accent, size=80, opacity=1).encode(x=_points_across(alt, "mean")),
    )
    return finish(alt.layer(*layers), ink, ROW_PIXELS * len(own) + 36, width)


# --- what they are made of ----------------------------------------------------------------------------------------


def _complete(frame: pd.DataFrame, columns: Sequence[str]) -> pd.DataFrame:
    lacking = [name for name in columns if name not in frame.columns]
    if lacking or frame.empty:
        what = f"it lacks {', '.join(lacking)}" if lacking else "it is empty"
        raise ArgumentError(f"frame must have one row or more with {', '.join(columns)}; {what}.")
    kept = frame.loc[:, list(columns)].reset_index(drop=True)
    return kept.assign(**{name: kept[name].astype(str) for name in ("trial", "descriptor") if name in kept.columns})


def _beside_each_other(rows: pd.DataFrame, names: Sequence[str], ages: Sequence[float], time: str) -> pd.DataFrame:
    """Trials of one age stand a little apart, so that dots and intervals do not hide each other."""
    place = rows["trial"].map({name: number - (len(names) - 1) / 2 for number, name in enumerate(names)})
    if time == "log":
        return rows.assign(place=rows["age_minutes"] * 1.07**place)
    return rows.assign(place=rows["age_minutes"] + place * max(ages) * 0.012)


def _mean_lines(alt: Any, line: pd.DataFrame, names: Sequence[str], ink: Ink, x: Any) -> list[Any]:
    base = alt.Chart(line).encode(x=x, color=_colour(alt, names, ink))
    return [
        base.mark_line(strokeWidth=2.5).encode(y=_points_axis(alt, "mean"), strokeDash=_dash(alt, names)),
        base.mark_rule(strokeWidth=7, opacity=0.55).encode(y=_points_axis(alt, "low"), y2="high"),
        base.mark_point(size=120, filled=True, opacity=1).encode(
            y=_points_axis(alt, "mean"), shape=_shape(alt, names), tooltip=["trial:N", "mean:Q", "low:Q", "high:Q"]
        ),
    ]


def _time_axis(alt: Any, ages: Sequence[float], time: str) -> Any:
    """Ticks at the ages smelt and nowhere else, said as people say them."""
    said = "datum.value < 60 ? datum.value + ' min' : datum.value % 60 == 0 ? datum.value / 60 + ' h' : " \
           "format(datum.value / 60, '.1f') + ' h'"  # fmt: skip
    axis = alt.Axis(title="age", values=list(ages), labelExpr=said, grid=False, labelFontSize=12, labelOverlap="greedy")
    low, high = min(ages), max(ages)
    domain = [low / 1.25, high * 1.25] if time == "log" else [0, high * 1.06]
    return alt.X("place:Q", axis=axis, scale=alt.Scale(type=time, domain=domain, nice=False))


def _points_axis(alt: Any, column: str) -> Any:
    return alt.Y(f"{column}:Q", axis=_axis(alt, POINTS_AXIS), scale=alt.Scale(domain=[0, 10], nice=False))


def _points_across(alt: Any, column: str) -> Any:
    return alt.X(f"{column}:Q", axis=_axis(alt, POINTS_AXIS), scale=alt.Scale(domain=[0, 10], nice=False))


def _axis(alt: Any, title: str) -> Any:
    return alt.Axis(title=title, values=[0, 2, 4, 6, 8, 10], grid=False, labelFontSize=12)


def _legend(alt: Any) -> Any:
    return alt.Legend(
        title=None, orient="top", labelFontSize=13, symbolSize=110, symbolOpacity=1, labelLimit=220,
        labelExpr="'trial ' + datum.label",
    )  # fmt: skip


def _colour(alt: Any, names: Sequence[str], ink: Ink) -> Any:
    """The last trial in the accent, the others in greys of the ink: shape and dash tell them apart."""
    greys = [ink.text, ink.quiet, ink.line]
    colours = [greys[place % len(greys)] for place in range(len(names) - 1)] + [ink.accent]
    return alt.Color("trial:N", scale=alt.Scale(domain=list(names), range=colours), legend=_legend(alt))


def _shape(alt: Any, names: Sequence[str]) -> Any:
    scale = alt.Scale(domain=list(names), range=list(SHAPES[: len(names)]))
    return alt.Shape("trial:N", scale=scale, legend=_legend(alt))


def _dash(alt: Any, names: Sequence[str]) -> Any:
    scale = alt.Scale(domain=list(names), range=list(DASHES[: len(names)]))
    return alt.StrokeDash("trial:N", scale=scale, legend=_legend(alt))


def _age_places(alt: Any, ages: Sequence[str]) -> Any:
    axis = alt.Axis(title="age", orient="top", labelAngle=0, grid=False, domain=False, ticks=False, labelFontSize=12)
    return alt.X("age:N", sort=list(ages), axis=axis, scale=alt.Scale(domain=list(ages)))


def _word_places(alt: Any, rows: pd.DataFrame) -> Any:
    axis = alt.Axis(title=None, ticks=False, domain=False, labelFontSize=13, labelPadding=8, labelLimit=130)
    return alt.Y("descriptor:N", sort=list(dict.fromkeys(rows["descriptor"])), axis=axis)


def _targets(alt: Any, targets: pd.DataFrame, y: Any, ink: Ink) -> list[Any]:
    """At least: a bar from the value on; at most: up to it; about: the mark alone."""
    bounds = {"at least": (None, 10.0), "at most": (0.0, None), "about": (None, None)}
    rows = targets.assign(
        start=[value if bounds[kind][0] is None else bounds[kind][0] for kind, value in _kinds(targets)],
        end=[value if bounds[kind][1] is None else bounds[kind][1] for kind, value in _kinds(targets)],
    )
    chart = alt.Chart(rows).encode(y=y)
    return [
        chart.mark_bar(color=ink.pale, opacity=0.55, height=ROW_PIXELS - 8).encode(
            x=_points_across(alt, "start"), x2="end"
        ),
        chart.mark_tick(color=ink.text, thickness=2, size=ROW_PIXELS - 8).encode(x=_points_across(alt, "value")),
    ]


def _kinds(targets: pd.DataFrame) -> list[tuple[str, float]]:
    return list(zip(targets["kind"], targets["value"].astype(float), strict=True))
