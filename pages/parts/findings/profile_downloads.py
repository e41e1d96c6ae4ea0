"""Findings of a profile as files: tables as CSV, the picture looked at as PNG or SVG."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import partial
from types import MappingProxyType
from typing import Any, Final, TypeAlias

import pandas as pd
import streamlit as st
from parts import small_tables
from parts.findings import downloads, report_links
from parts.findings import profile_charts as drawn

from evaluation import charts
from evaluation.actions.profile_findings import ProfileFindings
from evaluation.counting.profiles import ProfileFound
from evaluation.tables import effects_told, results
from evaluation.values.scales import POINTS, counted_families
from evaluation.wording import of_profiles

said = small_tables.as_html
WIDTH: Final = 720
PICTURE: Final = re.compile(r"(strip|skin)-(curve|effect|map|profile|strength)-(\d{1,2})\.(png|svg)")
KINDS: Final = {"png": "image/png", "svg": "image/svg+xml"}


def list_files(found: ProfileFindings) -> None:
    """Links to the tables that hold anything."""
    links = [(name, words) for name, (words, _, there) in tables().items() if any(map(there, found.found))]
    listed = "".join(f"<li>{_link(found, name, words)}</li>" for name, words in links)
    listed = report_links.ticked_links(found.context.session.id) + listed
    st.html(f'<ul style="line-height: 2.2">{listed}</ul>')
    st.caption("Each picture above can be saved as PNG or SVG from the view that shows it.")


def picture_links(found: ProfileFindings, part: ProfileFound, name: str) -> None:
    """Under a chart: the same picture as files."""
    if downloads.can_draw():
        kinds = (_link(found, f"{part.medium}-{name}.{kind}", f"Save as {kind.upper()}") for kind in KINDS)
        st.html(f"<p>{' · '.join(kinds)}</p>")


def file(found: ProfileFindings, name: str) -> tuple[str, bytes | None] | None:
    """Media type and content of one file; None where there is none of this name, no content where none can be drawn."""
    if name in (known := tables()):
        frames = [frame for frame in map(known[name][1], found.found) if len(frame)]
        whole = pd.concat(frames, ignore_index=True) if frames else pd.DataFrame()
        return downloads.CSV, results.csv_text(whole).encode("utf-8-sig")
    asked = PICTURE.fullmatch(name)
    part = next((one for one in found.found if asked and one.medium == asked[1]), None)
    if asked is None or part is None:
        return None
    chart = _chart(found, part, asked[2], int(asked[3]))
    return KINDS[asked[4]], None if chart is None else charts.picture(chart, asked[4])


def _chart(found: ProfileFindings, part: ProfileFound, view: str, place: int) -> Any | None:
    """The picture of a view; ``place`` counts descriptors, pairs or ages as the page lists them."""
    if view == "strength":
        return None if part.decay is None else drawn.strength(part, part.decay, width=WIDTH)
    known: dict[str, tuple[Any, ...]] = {
        "curve": part.words(POINTS),
        "effect": part.words(POINTS),
        "map": part.differences.pairs if part.differences else (),
        "profile": part.ages,
    }
    if place >= len(known[view]):
        return None
    one = known[view][place]
    if view in _BY_WORD:
        return _BY_WORD[view](part, one, width=WIDTH)
    return drawn.moved(part, one, width=WIDTH) if view == "map" else drawn.at_one_age(found, part, one, width=WIDTH)


_BY_WORD: Final = MappingProxyType({"curve": drawn.over_ages, "effect": drawn.effects})


def _link(found: ProfileFindings, name: str, words: str) -> str:
    address = f"/files/{said(found.context.session.id)}/{said(name)}"
    return f'<a href="{address}" download target="_self">{said(words)}</a>'


def _fallen(part: ProfileFound) -> pd.DataFrame:
    return pd.DataFrame() if part.decay is None else results.falling(part.decay, part)


def _moved(part: ProfileFound) -> bool:
    return part.differences is not None and len(part.differences.table) > 0


# What a file is called, how it is built, and whether there is one: told without building it, which takes its time
Table: TypeAlias = tuple[str, Callable[[ProfileFound], pd.DataFrame], Callable[[ProfileFound], bool]]


def tables() -> dict[str, Table]:
    """Every table there may be, by the name of its file: of points, of each family that is counted, of people."""
    counted = {f"{of_profiles.COUNTS.of(one).file}.csv": _counted(one) for one in counted_families()}
    return _OF_POINTS | counted | _OF_PEOPLE


def _counted(family: str) -> Table:
    build = partial(results.counted, family)
    return f"{of_profiles.COUNTS.of(family).title} (CSV)", build, lambda part: len(build(part)) > 0


_OF_POINTS: Final[dict[str, Table]] = {
    "effects.csv": ("Effects of the changes (CSV)", effects_told.effects_table, lambda part: part.effects is not None),
    "moved.csv": ("What moved: every comparison (CSV)", results.moved, _moved),
    "ratings.csv": ("Every rating (CSV)", results.rated, lambda part: len(part.rows) > 0),
    "model.csv": ("Mixed model (CSV)", results.effects, lambda part: part.has_model),
    "strength.csv": ("How strength falls (CSV)", _fallen, lambda part: part.decay is not None),
}
_OF_PEOPLE: Final[dict[str, Table]] = {
    "people.csv": ("How each person uses the scale (CSV)", results.panelists, lambda part: part.has_people),
}
