"""The charts: what they plot is what the frame holds, and they are drawn without network."""

from __future__ import annotations

import socket
from itertools import pairwise
from typing import Any

import altair as alt
import pandas as pd
import pytest
from parts import palette

from evaluation import charts
from evaluation.counting.tallies import PooledVotes
from evaluation.errors import ArgumentError
from evaluation.judging.verdicts import Rules, judge_tallies
from evaluation.tables import results


@pytest.fixture
def guesses() -> pd.DataFrame:
    # Plotted values are compared with the frame itself; 14 of 24 and 13 needed: triangle, alpha .05
    # (ISO 4120 table A.1: 24 assessments need 13).
    rows = [
        ("4 h", True, 14, 24, 1 / 3, 14 / 24, 0.3664, 0.7789, 13, 13 / 24),
        ("5 min", False, 24, 24, 1 / 3, 1.0, 0.8575, 1.0, 13, 13 / 24),
        ("24 h", False, 1, 3, 1 / 3, 1 / 3, 0.0084, 0.9057, None, None),
    ]
    return pd.DataFrame(rows, columns=list(charts.GUESS_COLUMNS))


@pytest.fixture
def votes() -> pd.DataFrame:
    rows = [("overall", True, 9, 2, 1, 10, 0.9, 0.5550, 0.9975), ("5 min", False, 3, 0, 9, 12, 0.25, 0.0549, 0.5719)]
    return pd.DataFrame(rows, columns=list(charts.PREFERENCE_COLUMNS))


@pytest.fixture
def no_network(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: Any, **__: Any) -> None:
        raise AssertionError("a chart must not open a connection")

    monkeypatch.setattr(socket.socket, "connect", refuse)
    monkeypatch.setattr(socket, "getaddrinfo", refuse)


def plotted(chart: alt.LayerChart, column: str) -> list[Any]:
    """The values of ``column`` in the rows the drawn chart carries, whichever of its data sets holds them."""
    data = chart.to_dict()["datasets"]
    return [row[column] for rows in data.values() for row in rows if column in row]


def encoded(chart: alt.LayerChart) -> set[str]:
    """Every field some layer places along x."""
    layers = chart.to_dict()["layer"]
    channels = [layer["encoding"][x] for layer in layers for x in ("x", "x2") if x in layer["encoding"]]
    return {channel["field"] for channel in channels if "field" in channel}


@pytest.mark.parametrize("column", ["guessing", "seen", "low", "high", "needed_share"])
def test_the_guessing_chart_places_the_frames_values_unrounded(guesses: pd.DataFrame, column: str) -> None:
    chart = charts.guess_against_seen(guesses)
    wanted = [None if pd.isna(value) else value for value in guesses[column]]
    assert plotted(chart, column) == wanted
    assert column in encoded(chart)


def test_the_guessing_chart_writes_counts_beside_its_marks(guesses: pd.DataFrame) -> None:
    chart = charts.guess_against_seen(guesses)
    assert plotted(chart, "seen_text") == ["14 of 24 right", "24 of 24 right", "1 of 3 right"]
    assert plotted(chart, "needed_text") == ["13 needed", "13 needed", ""]


def test_only_one_of_several_ages_is_marked_primary(guesses: pd.DataFrame) -> None:
    assert plotted(charts.guess_against_seen(guesses), "row") == ["4 h|primary", "5 min", "24 h"]
    assert plotted(charts.guess_against_seen(guesses[:1]), "row") == ["4 h"]


def test_every_row_gets_exactly_one_label_wherever_its_mark_stands() -> None:
    for places in (charts.OVER, charts.LEFT_OF, charts.RIGHT_OF):
        for hundredth in range(101):
            share = hundredth / 100
            assert sum(low <= share < high for _, _, low, high in places) == 1


def test_the_pieces_of_a_preference_bar_are_the_people(votes: pd.DataFrame) -> None:
    chart = charts.preferences(votes, "8b", "7")
    pieces = [(row["who"], row["people"], row["from"], row["to"]) for row in _pieces(chart)]
    assert pieces[:3] == [("first", 9, 0.0, 0.75), ("none", 2, 0.75, 11 / 12), ("second", 1, 11 / 12, 1.0)]
    assert pieces[3:] == [("first", 3, 0.0, 0.25), ("none", 0, 0.25, 0.25), ("second", 9, 0.25, 1.0)]
    assert [row["text"] for row in _pieces(chart)[:3]] == ["9 for 8b", "2 no preference", "1 for 7"]


def test_the_preference_chart_draws_share_interval_and_the_half_line(votes: pd.DataFrame) -> None:
    chart = charts.preferences(votes, "8b", "7")
    for column in ("share", "low", "high"):
        assert plotted(chart, column) == list(votes[column])
        assert column in encoded(chart)
    halves = [layer for layer in chart.to_dict()["layer"] if layer["encoding"].get("x", {}).get("datum") == 0.5]
    assert len(halves) == 1


def test_the_dot_measures_the_side_it_is_read_from(votes: pd.DataFrame) -> None:
    """Where the second trial leads the row that decides, its bar starts at 0 and the share below is its own."""
    votes = votes.assign(primary=[False, True])  # 9, 2, 1 at one age; 3, 0, 9 at the primary one
    chart = charts.preferences(votes, "8b", "7")
    pieces = [(row["text"], row["from"], row["to"]) for row in _pieces(chart)]
    assert pieces[3:] == [("9 for 7", 0.0, 0.75), ("0 no preference", 0.75, 0.75), ("3 for 8b", 0.75, 1.0)]
    assert plotted(chart, "share") == pytest.approx([1 - one for one in votes["share"]])
    assert plotted(chart, "low") == pytest.approx([1 - one for one in votes["high"]])
    assert {row.rsplit(" votes ", 1)[1] for row in plotted(chart, "share_text")} == {"for 7"}


def test_names_with_characters_of_the_chart_language_stay_text(votes: pd.DataFrame, no_network: None) -> None:
    chart = charts.preferences(votes, "8'b\\|<i>", 'no "iris"')
    assert charts.picture(chart, "svg") is not None


@pytest.mark.parametrize("dark", [False, True])
@pytest.mark.usefixtures("no_network")
def test_charts_are_drawn_without_network(guesses: pd.DataFrame, votes: pd.DataFrame, dark: bool) -> None:
    pytest.importorskip("vl_convert", reason="vl-convert is optional: pictures cannot be drawn without it")
    for chart in (
        charts.guess_against_seen(guesses, dark=dark, width=300),
        charts.preferences(votes, "8b", "7", dark=dark, width=300),
    ):
        drawn = charts.picture(chart, "svg")
        assert drawn is not None
        assert b"<svg" in drawn
        assert (charts.picture(chart, "png") or b"")[:8] == b"\x89PNG\r\n\x1a\n"  # PNG signature, RFC 2083 section 3.1


def test_the_drawn_picture_holds_the_labels(guesses: pd.DataFrame, votes: pd.DataFrame) -> None:
    pytest.importorskip("vl_convert", reason="vl-convert is optional: pictures cannot be drawn without it")
    drawn = (charts.picture(charts.guess_against_seen(guesses, width=300), "svg") or b"").decode()
    assert [drawn.count(text) for text in (">14 of 24 right<", ">13 needed<", ">guessing<")] == [1, 2, 3]
    drawn = (charts.picture(charts.preferences(votes, "8b", "7", width=300), "svg") or b"").decode()
    assert ">9 for 8b<" in drawn
    assert ">of 10 votes for 8b<" in drawn


@pytest.mark.parametrize(("ties", "counted", "share"), [("drop", 8, 6 / 8), ("split", 12, 8 / 12)])
def test_the_share_drawn_is_one_of_the_votes_in_the_test(ties: str, counted: int, share: float) -> None:
    """6 for the first, 2 for the second, 4 without a preference: by hand, halves are (6 + 2) of 12."""
    tally = PooledVotes("7 and 8", "preference", 5.0, 12, (6, 2, 4), (6, 2, 4))
    (row,) = results.preference_rows(judge_tallies([tally], Rules(ties=ties))).to_dict("records")
    assert (row["votes"], row["share"]) == (counted, pytest.approx(share))


@pytest.mark.parametrize(
    "ink",
    [
        (charts.LIGHT, "#ffffff"),
        (charts.LIGHT, palette.LIGHT["backgroundColor"]),
        (charts.DARK, palette.DARK["backgroundColor"]),
    ],
)
def test_inks_keep_the_contrast_of_text(ink: tuple[charts.Ink, str]) -> None:
    # WCAG 2.1, 1.4.3: 4.5 to 1 for text; 1.4.11: 3 to 1 for marks.
    colours, ground = ink
    for text in (colours.text, colours.quiet, colours.accent):
        assert contrast(text, ground) >= 4.5
    assert contrast(colours.on_accent, colours.accent) >= 4.5
    assert contrast(colours.on_pale, colours.pale) >= 4.5
    assert contrast(colours.line, ground) >= 3.0


def test_a_frame_that_lacks_a_column_or_all_rows_is_refused(guesses: pd.DataFrame) -> None:
    with pytest.raises(ArgumentError, match="lacks low"):
        charts.guess_against_seen(guesses.drop(columns="low"))
    with pytest.raises(ArgumentError, match="empty"):
        charts.guess_against_seen(guesses[:0])
    with pytest.raises(ArgumentError, match="kind must be one of"):
        charts.picture(charts.guess_against_seen(guesses), "gif")


def _pieces(chart: alt.LayerChart) -> list[dict[str, Any]]:
    return [row for rows in chart.to_dict()["datasets"].values() for row in rows if "who" in row]


def contrast(one: str, other: str) -> float:
    """Contrast ratio by the formula of WCAG 2.1."""
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (p / 12.92 if p <= 0.03928 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


# --- the power surface ------------------------------------------------------------------------------------------


@pytest.fixture
def powers() -> pd.DataFrame:
    # invented: what is plotted is compared with the frame itself
    falling = {"Triangle": (0.0, 0.15, 0.08, 0.23), "2-AFC": (0.0, 0.4, 0.38, 0.6), "3-AFC": (0.0, 0.5, 0.41, 0.6)}
    rows = [(name, n, power, name == "Triangle") for name, line in falling.items() for n, power in enumerate(line, 1)]
    return pd.DataFrame(rows, columns=list(charts.POWER_COLUMNS))


def lines_of(chart: alt.LayerChart) -> dict[str, list[tuple[int, float]]]:
    """The points of every line mark, by method."""
    drawn = chart.to_dict()
    found: dict[str, list[tuple[int, float]]] = {}
    for layer in drawn["layer"]:
        if layer["mark"]["type"] != "line":
            continue
        for row in drawn["datasets"][layer["data"]["name"]]:
            found.setdefault(row.get("method", "wanted"), []).append((row["assessments"], row["power"]))
        assert "interpolate" not in layer["mark"], "a smoothed line would hide the teeth"
    return found


def test_the_power_surface_draws_every_tooth_of_every_method(powers: pd.DataFrame) -> None:
    drawn = lines_of(charts.power_surface(powers, 3, 0.95))
    assert drawn.pop("wanted") == [(1, 0.95), (4, 0.95)]
    for name, mine in powers.groupby("method"):
        assert drawn[name] == list(zip(mine["assessments"], mine["power"], strict=True))


def test_the_plan_is_a_point_on_its_own_line(powers: pd.DataFrame) -> None:
    chart = charts.power_surface(powers, 3, 0.95).to_dict()
    (point,) = [layer for layer in chart["layer"] if layer["mark"]["type"] == "point"]
    (row,) = chart["datasets"][point["data"]["name"]]
    assert (row["assessments"], row["power"], row["text"]) == (3, 0.08, "3 planned")


def test_names_of_lines_that_end_together_do_not_touch(powers: pd.DataFrame) -> None:
    chart = charts.power_surface(powers, 3, 0.95).to_dict()
    names = [row for rows in chart["datasets"].values() for row in rows if "at" in row]
    heights = sorted({row["method"]: row["at"] for row in names}.values())
    assert len(heights) == 3
    assert all(upper - lower >= charts.LEAST_GAP - 1e-9 for lower, upper in pairwise(heights))
    assert charts._spread([1.0, 1.0, 1.0]) == pytest.approx(
        [0.98, 0.98 - charts.LEAST_GAP, 0.98 - 2 * charts.LEAST_GAP]
    )
    assert charts._spread([0.0, 0.0]) == pytest.approx([0.02 + charts.LEAST_GAP, 0.02])


@pytest.mark.parametrize("dark", [False, True])
def test_the_power_surface_is_drawn_without_network(powers: pd.DataFrame, no_network: None, dark: bool) -> None:
    drawn = charts.picture(charts.power_surface(powers, 3, 0.95, dark=dark, width=340), "png")
    assert drawn is None or drawn.startswith(b"\x89PNG")


def test_a_power_frame_that_lacks_a_column_is_refused(powers: pd.DataFrame) -> None:
    with pytest.raises(ArgumentError, match="it lacks power"):
        charts.power_surface(powers.drop(columns="power"), 3, 0.95)


@pytest.mark.parametrize(("first", "second", "filled"), [(9, 3, ["first"]), (3, 9, ["second"]), (6, 6, [])])
def test_the_dark_piece_is_whoever_has_more_people(first: int, second: int, filled: list[str]) -> None:
    row = {"row": "5 min", "first": first, "none": 2, "second": second}
    pieces = charts._segments(pd.DataFrame([row]), ("7", "8"))
    assert pieces.loc[pieces["fill"] == "leads", "who"].tolist() == filled
