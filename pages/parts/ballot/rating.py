"""A screen of ratings, or a ranking, as one component of our own: nothing is preset, and each change sends all of it.

What is tapped travels as ``{"screen": …, "values": {"0": "6.5", …}}``, numbered as the rows stand on the screen.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from pathlib import Path
from typing import Any, Final

import streamlit as st
from parts.ballot import around_questions as words

from evaluation import wording
from evaluation.actions.ballot import BallotView, checked_value
from evaluation.errors import ArgumentError
from evaluation.sessions import Question

_HERE: Final = Path(__file__).parent
_RATE: Final = "rate "
_OWN: Final = frozenset({"strength", "liking"})  # questions of their own, set apart from the descriptors


def _read(ending: str) -> str:
    return (_HERE / f"rating.{ending}").read_text(encoding="utf-8")


_component: Final = st.components.v2.component("ballot_rating", js=_read("js"), css=_read("css"), isolate_styles=False)


def control(view: BallotView, tapped: Callable[[], None], missing: Collection[str] = (), turn: int = 0) -> None:
    """Draw the screen's rows; ``missing`` names questions to be pointed out, once per ``turn``."""
    rows = [_row(view, asked) for asked in view.screen]
    numbered = [at for at, asked in enumerate(view.screen) if asked.name in missing]
    drafted = {str(at): view.drafts[q.name] for at, q in enumerate(view.screen) if q.name in view.drafts}
    data = {
        "screen": _screen(view),
        "rows": rows,
        "values": drafted,
        "words": _words(len(view.screen[0].codes)),
        "missing": {"turn": turn, "rows": numbered},
    }
    # In a list: whatever lies in a dict at the top is looked at as a possible table, which loads pandas.
    _component(key=_key(view), data=[data], on_answers_change=tapped)


def _words(codes: int) -> dict[str, Any]:
    return {
        "ticks": words.TICKS,
        "unmarked": words.UNMARKED,
        "between": words.BETWEEN,
        "undo": words.UNDO,
        "places": words.PLACES,
        "placing": words.placing(codes),
    }


def _row(view: BallotView, asked: Question) -> dict[str, Any]:
    name = subject(asked)
    known = {one.name: one for one in view.descriptors}.get(name)
    given = (known.low, known.high) if known else ("", "")
    scale = asked.scale
    low, high = wording.rating_ends(name, scale.name, *given) if scale else ("", "")
    outs = scale.outs if scale else ()
    return {
        "control": scale.control if scale else asked.kind,
        "title": wording.ballot_question(view.method, asked.name)[0],
        "meaning": known.definition if known else "",
        "options": [option for option in asked.options if option not in outs],
        "out": list(outs),
        "columns": scale.columns if scale else 1,
        "low": low,
        "high": high,
        "apart": name in _OWN and known is None,
        "sites": view.sites,
    }


def drawn_here(asked: Question) -> bool:
    """True for what is answered on such a screen: a rating, or codes put in order."""
    return asked.scale is not None or asked.in_order


def subject(asked: Question) -> str:
    """What a row is about, in a word."""
    return asked.name.removeprefix(_RATE)


def picked(view: BallotView) -> dict[str, str]:
    """What the screen shows as answered, by name of the question; unticked words of a list are "no"."""
    untouched = {asked.name: asked.scale.untouched for asked in view.screen if asked.scale and asked.scale.untouched}
    return untouched | dict(view.drafts) | touched(view)


def touched(view: BallotView) -> dict[str, str]:
    """What this tab was told of, as far as it is an answer to this screen at all."""
    values = _told(view)
    given = ((asked, values.get(str(at))) for at, asked in enumerate(view.screen))
    return {asked.name: value for asked, value in given if isinstance(value, str) and _answers(asked, value)}


def untouched(view: BallotView) -> bool:
    """Whether a ranking has no code in its place yet; a screen of ratings may always be locked, or say what lacks."""
    return view.screen[0].kind == "ranking" and not _told(view).get("0")


def _told(view: BallotView) -> Mapping[str, Any]:
    """What this tab was told of this screen, whatever it is; nothing of another one."""
    state: Any = st.session_state.get(_key(view))
    told: Any = state.get("answers") if isinstance(state, Mapping) else None
    if not isinstance(told, Mapping) or told.get("screen") != _screen(view):
        return {}
    return told["values"] if isinstance(told.get("values"), dict) else {}


def _answers(asked: Question, value: str) -> bool:
    try:
        checked_value(asked, value)
    except ArgumentError:
        return False
    return True


def _screen(view: BallotView) -> str:
    """Tells one screen from the next; nothing in it that is not to be seen on it."""
    return f"{view.number} {' '.join(view.screen[0].codes)}"


def _key(view: BallotView) -> str:
    """Keys travel to the browser: they hold the number of the question and the codes on the screen."""
    return f"rate-{view.number}-{'-'.join(view.screen[0].codes)}"
