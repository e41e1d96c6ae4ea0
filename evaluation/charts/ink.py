"""Colours of charts on light and dark, and the last touches every chart gets."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    import altair as alt


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


def ink_on(dark: bool) -> Ink:
    """The inks for a light or a dark background."""
    return DARK if dark else LIGHT


def finish(chart: Any, ink: Ink, height: int, width: int | None) -> alt.LayerChart:
    """Size, font and axis colours; no background of its own. ``width`` None takes what there is."""
    finished: alt.LayerChart = (
        chart.properties(width="container" if width is None else width, height=height, background="transparent")
        .configure(font="Source Sans, sans-serif")
        .configure_view(stroke=None)
        .configure_legend(labelColor=ink.text)
        .configure_axis(labelColor=ink.quiet, titleColor=ink.quiet, domainColor=ink.line, tickColor=ink.line)
    )
    return finished
