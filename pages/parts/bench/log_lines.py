"""The session's log in plain words, with the hash of its last line."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import UTC, datetime
from typing import Any, Final
from zoneinfo import ZoneInfo

import streamlit as st
from parts import small_tables
from parts.bench import progress
from parts.house import House

from evaluation.actions import bench, opened
from evaluation.ground.markup import template
from evaluation.serving.dipping import span
from evaluation.sessions import Record, Session
from evaluation.store import read_body
from evaluation.wording import of_looks

_LAST_HASH: Final = template('<p>Last hash: <span class="mo-hash">{{ hash }}</span></p>')
_AT: Final = template('<span class="mo-when">{{ when }}</span>')
SHOWN: Final = 10
PAGE: Final = 200  # a long log comes in pages: twenty thousand rows would hold up the browser and every run
Words = Callable[[Mapping[str, Any], Mapping[str, str]], str]


def show_log(here: House, session: Session) -> None:
    """The newest lines first, the older ones page by page; answers are told without what was answered."""
    last = bench.last_event(here.notebook, session.id)
    if not last:
        st.markdown("Nothing is written down yet.")
        return
    spoken, people = opened.log_texts(here.notebook, session.id), _names(here, session)
    shown = bench.part_of_log(here.notebook, session.id, *_lines(last))
    (newest,) = bench.part_of_log(here.notebook, session.id, last, last)
    st.html(small_tables.STYLE + _LAST_HASH(hash=newest.hash))
    small_tables.table(("No.", "Time", "What"), [log_line(one, session, people, spoken) for one in reversed(shown)])


def _lines(last: int) -> tuple[int, int]:
    """First and last line to show: the newest few, or on demand all of them, page by page where they are many."""
    if last <= SHOWN:
        return 1, last
    if not st.toggle(f"All {last} lines", key="whole log"):
        return last - SHOWN + 1, last
    if last <= PAGE:
        return 1, last
    pages = range(1, last + 1, PAGE)
    begin = st.selectbox("Lines", list(reversed(pages)), format_func=lambda one: _page(one, last), key="page of log")
    return begin, min(begin + PAGE - 1, last)


def _page(begin: int, last: int) -> str:
    return f"{begin} to {min(begin + PAGE - 1, last)}"


def _names(here: House, session: Session) -> dict[str, str]:
    """Aliases by ballot, by panelist and by seat: a line names a person by one of the three."""
    seats = [seat for seat in progress.seats_of(here, session.id) if seat.panelist_id is not None]
    by_ballot = {seat.ballot_id: seat.alias for seat in seats}
    by_person = {str(seat.panelist_id): seat.alias for seat in seats}
    return by_ballot | by_person | {str(seat.seat): seat.alias for seat in seats}


def log_line(
    record: Record, session: Session, people: Mapping[str, str], spoken: Mapping[str, str]
) -> tuple[str, str, str]:
    """One line of the log: number, local time, what happened."""
    body = read_body(record)
    told = _WORDS.get(record.kind, _other)(body, people)
    reason = spoken.get((body.get("reason") or {}).get("digest", "")) if isinstance(body.get("reason"), dict) else None
    if reason:
        told += f" Reason: {reason}"
    return str(record.sequence), _AT(when=local_time(record.at, session.plan.zone)), told


def local_time(instant: int, zone: str) -> str:
    """An instant as local time of the session."""
    return f"{datetime.fromtimestamp(instant / 1000, UTC).astimezone(ZoneInfo(zone)):%d %b %H:%M:%S}"


def _who(people: Mapping[str, str], known_by: object) -> str:
    return people.get(str(known_by)) or "somebody"


def _answer(body: Mapping[str, Any], people: Mapping[str, str]) -> str:
    what = "left a remark" if body["question"] == "remark" else "locked an answer"
    return f"{_who(people, body['ballot_id'])} {what}."


def _deviation(body: Mapping[str, Any], people: Mapping[str, str]) -> str:
    reach = "one set" if body["serving_id"] else "all sets"
    return f"Noted for {_who(people, body['seat'])}, {reach}: {body['kind']}."


def _begun(body: Mapping[str, Any], people: Mapping[str, str]) -> str:
    """Who began a set, how old it was, and that the ballot asked back before."""
    old = "nobody tapped when it was dipped" if body["age"] is None else f"{span(body['age'] // 1000)} after its dip"
    planned = "" if body["planned"] is None else f", planned {span(body['planned'])}"
    asked = {"": "", "unknown": ", after being asked"}.get(body["asked"], f", {body['asked']}, after being asked")
    return f"{_who(people, body['ballot_id'])} began a set: {old}{planned}{asked}."


def _key_shown(body: Mapping[str, Any], people: Mapping[str, str]) -> str:
    looked = body["panelist_id"]
    return f"The key was shown to {people.get(looked, 'somebody who does not smell here')}."


def _other(body: Mapping[str, Any], people: Mapping[str, str]) -> str:
    return "Something was written down."


_STOPPED: Final = {"skin": "the skin reacts", "unwell": "feels unwell"}
_MOMENTS: Final = {"seal": "at sealing", "start": "at the start", "seat": "for a spare seat"}
_WORDS: Final[Mapping[str, Words]] = {
    "seal": lambda body, people: f"Sealed with the hash {body['hash']}.",
    "start": lambda body, people: "Smelling started.",
    "answer": _answer,
    "set begun": _begun,
    "finish": lambda body, people: f"{_who(people, body['ballot_id'])} finished.",
    "deviation": _deviation,
    "void serving": lambda body, people: (
        f"A set of {_who(people, body['seat'])} was put aside; the spare set is served."
    ),
    "seat": lambda body, people: f"{_who(people, body['panelist_id'])} took spare seat {body['seat']}.",
    "key shown": _key_shown,
    "laid out": lambda body, people: (
        f"Set {body['place']} was laid out{', before the proposed rest was over' if body['rest_cut_ms'] else ''}."
    ),
    "ready": lambda body, people: "All that is needed is at hand.",
    "rest cut": lambda body, people: f"Set {body['place']} was smelt before the proposed rest was over.",
    "put away": lambda body, people: f"Set {body['place']} was put away, its marks covered.",
    "marks": lambda body, people: f"The marks of {len(body['orders'])} sets were entered.",
    "stop": lambda body, people: f"{_who(people, body['ballot_id'])} stopped: {_STOPPED[body['kind']]}.",
    "seat shown": lambda body, people: f"Shown in an emergency: what seat {body['seat']} has before it.",
    "skin gate": lambda body, people: f"The skin gate was open ({_MOMENTS.get(body['moment'], body['moment'])}).",
    "struck": lambda body, people: "A name was struck from what was written down.",
    "timetable": lambda body, people: f"Timetable, revision {body['revision']}.",
    "dip": lambda body, people: f"Strips of a set {'were dipped: corrected' if 'reason' in body else 'were dipped'}.",
    "look": lambda body, people: of_looks.log_words(body["assessments"], body["outcome"]),
    "typed from paper": lambda body, people: f"A paper card of {_who(people, body['ballot_id'])} was typed in.",
    "renamed": lambda body, people: "The brief was given another title.",
    "decision": lambda body, people: f"Decision {body['number']} of the brief was written down.",
    "close": lambda body, people: "Closed: no more answers.",
    "open": lambda body, people: "The key was opened.",
    "void": lambda body, people: "Declared void.",
}
