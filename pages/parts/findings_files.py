"""Findings as files, each built from what the store holds; ``findings_routes`` hands them out."""

from __future__ import annotations

from collections.abc import Callable
from importlib.util import find_spec
from typing import Final

import pandas as pd
import streamlit as st
from parts import bench_rows, findings_looks, findings_report, findings_show
from parts.findings_words import medium_of

from evaluation import charts, tables
from evaluation.actions.findings import Findings
from evaluation.sessions import SKIN

WIDTH: Final = 720


def show(found: Findings) -> None:
    """Links to the files; pictures only where they can be drawn."""
    links = "".join(
        f'<li><a href="/files/{bench_rows.said(found.session.id)}/{name}" download target="_self">'
        f"{bench_rows.said(words)}</a></li>"
        for name, (words, _, _) in FILES.items()
        if can_draw() or not name.startswith("chart")
        if found.sequence is None or name != TO_JUDGE
    )
    st.html(f'<ul style="line-height: 2.2">{findings_report.links(found.session.id)}{links}</ul>')


def can_draw() -> bool:
    """True where pictures can be drawn here."""
    return find_spec("vl_convert") is not None


# --- what is in them ----------------------------------------------------------------------------------------------


def _verdicts(found: Findings) -> bytes:
    if found.sequence is not None:
        return _csv(tables.looks(found.sequence))
    preference = found.session.plan.method == "preference"
    return _by_medium(
        found, lambda part: tables.preferences(part.entries) if preference else tables.verdicts(part.entries)
    )


def _answers(found: Findings) -> bytes:
    return _by_medium(found, lambda part: tables.answers(part.rows, part.null_rows))


def _by_medium(found: Findings, build: Callable[[Findings], pd.DataFrame]) -> bytes:
    """On strips alone as it always was; with skin every row says on what it was smelt."""
    if SKIN not in found.session.plan.media:
        return _csv(build(found))
    frames = []
    for part in (found, found.on_skin):
        if part is not None:
            own = build(part).rename(columns={"strip age": "age"})
            own.insert(0, "medium", medium_of(part))
            frames.append(own)
    return _csv(pd.concat(frames, ignore_index=True) if len(frames) > 1 else frames[0])


def _answers_to_judge(found: Findings) -> bytes | None:
    """Not for a session with looks: what ``judge`` gives is not valid after stopping."""
    if found.sequence is not None:
        return None
    method = found.session.plan.method
    frames = [tables.answers_to_judge(found.rows, found.comparison, method)]
    if found.on_skin is not None:  # another comparison, never pooled with the strips
        frames.append(tables.answers_to_judge(found.on_skin.rows, f"{found.comparison} on skin", method))
    return _csv(pd.concat(frames, ignore_index=True) if len(frames) > 1 else frames[0])


def _csv(frame: pd.DataFrame) -> bytes:
    """With a byte order mark: spreadsheets read accents right, and ``judge`` accepts it."""
    return tables.csv_text(frame).encode("utf-8-sig")


def _picture(kind: str) -> Callable[[Findings], bytes | None]:
    def build(found: Findings) -> bytes | None:
        draw = findings_show.picture if found.sequence is None else findings_looks.picture
        chart = draw(found, width=WIDTH)
        return None if chart is None else charts.picture(chart, kind)

    return build


TO_JUDGE: Final = "answers-to-judge.csv"
CSV: Final = "text/csv; charset=utf-8"
FILES: Final[dict[str, tuple[str, str, Callable[[Findings], bytes | None]]]] = {
    "verdict.csv": ("Verdict at each strip age (CSV)", CSV, _verdicts),
    "answers.csv": ("Every answer with what the key makes of it (CSV)", CSV, _answers),
    TO_JUDGE: ("Counted answers, as “judge” reads them (CSV)", CSV, _answers_to_judge),
    "chart.png": ("The chart (PNG)", "image/png", _picture("png")),
    "chart.svg": ("The chart (SVG)", "image/svg+xml", _picture("svg")),
}
