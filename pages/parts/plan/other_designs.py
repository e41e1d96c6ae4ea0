"""What other designs would find: one sentence of advice, the power surface, and what each asks of a nose."""

from __future__ import annotations

from functools import lru_cache
from typing import Any, Final

import pandas as pd
import streamlit as st
from parts.plan import plain_table

from evaluation import charts, wording
from evaluation.planning import designs
from evaluation.planning.designs import Curve, Surface
from evaluation.planning.outlook import Outlook

TITLE: Final = "What other designs would find"
READING: Final = (
    "Exact power against the number of answers at one strip age, judged once at the end, for the same difference "
    "(equal d-prime, not an equal share). Heavy line and dot: this plan. Dotted: the power asked for."
)
NO_DISTANCE: Final = (
    "The two out of five has no published d-prime, so it cannot be compared with other ways of asking at equal "
    "difference."
)
COLUMNS: Final = ("Method", "Power", "Strips a nose", "Strips for {power}")


def show_other_designs(outlook: Outlook) -> None:
    """The expander under the live numbers; nothing for preferences."""
    if outlook.kind.votes:
        return
    with st.expander(TITLE):
        surface = designs.surface(outlook)
        if surface is None:
            st.markdown(NO_DISTANCE)
        else:
            _surface(surface)


def _surface(surface: Surface) -> None:
    plan = surface.plan
    st.markdown(plain_table.unbroken(f"**{wording.advice(surface)}**"))
    st.altair_chart(_drawn(surface, _dark()), theme=None, width="stretch")
    st.caption(plain_table.unbroken(f"{READING} {wording.saw_tooth(surface)}"))
    power = wording.percent(1.0 - plan.beta)
    head = [each.format(power=power) for each in COLUMNS]
    plain_table.draw_table([plain_table.unbroken(each) for each in head], table(surface))
    st.markdown(plain_table.unbroken(wording.replicates_or_people(surface)))


@lru_cache(32)
def _drawn(surface: Surface, dark: bool) -> Any:
    """Kept: the form runs again at every touch, and most touches change none of these numbers."""
    plan = surface.plan
    return charts.power_surface(rows(surface), plan.assessments, 1.0 - plan.beta, dark=dark)


def rows(surface: Surface) -> pd.DataFrame:
    """The surface as rows for the chart."""
    told = [
        (wording.method_name(curve.method), asked, power, curve.method == surface.plan.method)
        for curve in surface.curves
        for asked, power in zip(surface.assessments, curve.power, strict=True)
    ]
    return pd.DataFrame(told, columns=list(charts.POWER_COLUMNS))


def table(surface: Surface) -> list[tuple[str, ...]]:
    """Method, power and strips a nose as planned; strips a nose for the power asked for."""
    return [_line(curve, curve.method == surface.plan.method) for curve in surface.curves]


def _line(curve: Curve, own: bool) -> tuple[str, ...]:
    name = wording.method_name(curve.method)
    needed = "millions" if curve.strips_needed is None else str(curve.strips_needed)
    power = plain_table.unbroken(wording.percent(curve.planned))
    return (f"**{name}**" if own else name, power, str(curve.strips), needed)


def _dark() -> bool:
    theme = getattr(st.context, "theme", None)
    return getattr(theme, "type", None) == "dark"
