"""Findings as files, each built from what the store holds; ``findings.file_routes`` hands them out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from importlib.util import find_spec
from typing import Final

import pandas as pd
import streamlit as st
from parts import small_tables
from parts.findings import path_of_looks, report_links, verdict_first

from evaluation import charts
from evaluation.actions.two_findings import TwoFindings, TwoFound
from evaluation.sessions import SKIN
from evaluation.tables import results

WIDTH: Final = 720


def list_files(found: TwoFindings) -> None:
    """Links to the files; pictures only where they can be drawn."""
    looked = any(part.sequence is not None for part in found.found)
    links = "".join(
        f'<li><a href="/files/{small_tables.as_html(found.context.session.id)}/{name}" download target="_self">'
        f"{small_tables.as_html(words)}</a></li>"
        for name, (words, _, _) in FILES.items()
        if can_draw() or not name.startswith("chart")
        if not looked or name != TO_JUDGE
    )
    st.html(f'<ul style="line-height: 2.2">{report_links.ticked_links(found.context.session.id)}{links}</ul>')


def can_draw() -> bool:
    """True where pictures can be drawn here."""
    return find_spec("vl_convert") is not None


# --- what is in them ----------------------------------------------------------------------------------------------


def _verdicts(found: TwoFindings) -> bytes:
    preference = found.plan.kind.votes

    def rows_of(part: TwoFound) -> pd.DataFrame:
        if part.sequence is not None:
            return results.looks(part.sequence)
        return results.preferences(part.entries) if preference else results.verdicts(part.entries)

    return _by_medium(found, rows_of)


def _answers(found: TwoFindings) -> bytes:
    return _by_medium(found, lambda part: results.answers(part.rows, part.null_rows))


def _by_medium(found: TwoFindings, build: Callable[[TwoFound], pd.DataFrame]) -> bytes:
    """On strips alone as it always was; with skin every row says on what it was smelt."""
    frames = list(map(build, found.found))
    if SKIN in found.plan.media:
        frames = [one.rename(columns={"strip age": "age"}) for one in frames]
        for part, own in zip(found.found, frames, strict=True):
            own.insert(0, "medium", part.medium)
    return _csv(_joined(frames))


def _answers_to_judge(found: TwoFindings) -> bytes | None:
    """Not for a session with looks: what ``judge`` gives is not valid after stopping."""
    if any(part.sequence is not None for part in found.found):
        return None
    weighed = bool(found.plan.sureness_weights)
    frames = [
        results.answers_to_judge(part.rows, _compared(found, part), part.plan.method, sureness=weighed)
        for part in found.found
    ]
    return _csv(_joined(frames))


def _compared(found: TwoFindings, part: TwoFound) -> str:
    """With strips, skin is another comparison, never pooled with them."""
    return part.comparison if part is found.found[0] else f"{part.comparison} on {part.medium}"


def _joined(frames: Sequence[pd.DataFrame]) -> pd.DataFrame:
    return pd.concat(frames, ignore_index=True) if len(frames) > 1 else frames[0]


def _csv(frame: pd.DataFrame) -> bytes:
    """With a byte order mark: spreadsheets read accents right, and ``judge`` accepts it."""
    return results.csv_text(frame).encode("utf-8-sig")


def _picture(kind: str) -> Callable[[TwoFindings], bytes | None]:
    def build(found: TwoFindings) -> bytes | None:
        part = found.found[0]  # strips, where there are both
        draw = verdict_first.picture if part.sequence is None else path_of_looks.picture
        chart = draw(part, width=WIDTH)
        return None if chart is None else charts.picture(chart, kind)

    return build


TO_JUDGE: Final = "answers-to-judge.csv"
CSV: Final = "text/csv; charset=utf-8"
FILES: Final[dict[str, tuple[str, str, Callable[[TwoFindings], bytes | None]]]] = {
    "verdict.csv": ("Verdict at each strip age (CSV)", CSV, _verdicts),
    "answers.csv": ("Every answer with what the key makes of it (CSV)", CSV, _answers),
    TO_JUDGE: ("Counted answers, as “judge” reads them (CSV)", CSV, _answers_to_judge),
    "chart.png": ("The chart (PNG)", "image/png", _picture("png")),
    "chart.svg": ("The chart (SVG)", "image/svg+xml", _picture("svg")),
}
