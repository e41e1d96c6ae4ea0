"""Calendar files, read back by a reader written from RFC 5545 itself and by a general library."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from icalendar import Calendar

from evaluation.actions import bench, paper
from evaluation.sheets import calendar_file
from evaluation.sheets.timing import Timing
from evaluation.timetable import Line, Timetable, Totals
from tests import scenes

START = 1_767_168_000_000  # 2025-12-31 08:00 UTC
STAMP = START + 5_000
NAME = re.compile(r"[A-Z0-9-]+")  # iana-token, RFC 5545 3.1


def read(content: bytes) -> list[tuple[str, str]]:
    """Content lines by RFC 5545 3.1: CRLF, at most 75 octets, folded lines begin with one blank."""
    assert content.endswith(b"\r\n")
    raw = content[:-2].split(b"\r\n")
    assert not any(b"\r" in line or b"\n" in line for line in raw)
    assert max(map(len, raw)) <= 75
    for line in raw:
        line.decode()  # no character is cut in two
    lines: list[bytes] = []
    for line in raw:
        if line[:1] in (b" ", b"\t"):
            lines[-1] += line[1:]
        else:
            lines.append(line)
    pairs = [tuple(line.decode().split(":", 1)) for line in lines]
    assert all(len(pair) == 2 and NAME.fullmatch(pair[0]) for pair in pairs)
    return pairs  # type: ignore[return-value]


def unescaped(text: str) -> str:
    """TEXT by RFC 5545 3.3.11: a bare comma or semicolon may not stand in it."""
    assert not re.search(r"(?<!\\)(?:\\\\)*[;,]", text)
    return re.sub(r"\\([\\;,nN])", lambda found: "\n" if found[1] in "nN" else found[1], text)


def components(pairs: list[tuple[str, str]]) -> list[dict[str, str]]:
    """The events of one calendar, the alarm's lines under "ALARM NAME"; begins and ends must pair."""
    open_now: list[str] = []
    events: list[dict[str, str]] = []
    for name, value in pairs:
        if name == "BEGIN":
            open_now.append(value)
            events += [{}] if value == "VEVENT" else []
        elif name == "END":
            assert open_now.pop() == value
        elif "VEVENT" in open_now:
            key = f"ALARM {name}" if open_now[-1] == "VALARM" else name
            assert key not in events[-1]
            events[-1][key] = value
    assert open_now == []
    return events


@pytest.fixture
def made(notebook: Any) -> tuple[Any, Any, Timing, bytes]:
    scene = scenes.scene(notebook, people=3)
    from evaluation.actions import book

    book.change_panelist(notebook, scene.panelist_ids[0], alias="Zoë; Anna, \\ ü")
    session = scene.sealed(minutes=(5, 24 * 60), primary=300, zone="Europe/Paris", title="Seven against eight",
                           confirmed=("noticed", "not noticed"))  # fmt: skip
    served = [one for one in bench.servings(notebook, session.id) if not one.spare]
    lines = tuple(
        Line(one.id, str(one.seat), 0, 60 * one.seat, 60 * one.seat + 15, 60 * one.seat + 15 + one.age_seconds,
             60 * one.seat + 105 + one.age_seconds, one.age_seconds)
        for one in served
    )  # fmt: skip
    timing = Timing(Timetable(lines, 99_999, 9, Totals(18, 6, 90)), START, "Europe/Paris")
    cards = paper.cards(notebook, session.id)
    return (
        session,
        cards,
        timing,
        calendar_file.calendar(session.plan, cards, timing, STAMP, session.sealed_hash[:8], 2),
    )


def test_there_is_one_event_for_each_smelling_at_its_time(made: Any) -> None:
    _, cards, timing, content = made
    pairs = read(content)
    assert pairs[:2] == [("BEGIN", "VCALENDAR"), ("VERSION", "2.0")]  # 3.6, 3.7.4
    assert dict(pairs)["PRODID"]
    events = components(pairs)
    sets = [card for card in cards if card.serving is not None]
    assert len(events) == len(sets) == 6
    for card, event in zip(sets, events, strict=True):
        line = timing.lines[card.serving_id]
        assert instant(event["DTSTART"]) == START // 1000 + line.smell_from
        assert instant(event["DTEND"]) == START // 1000 + line.smell_to
        assert instant(event["DTSTAMP"]) == STAMP // 1000
        assert unescaped(event["SUMMARY"]) == f"{card.alias}: set {card.number} of 2, {' '.join(card.codes)}"
        assert (event["ALARM ACTION"], event["ALARM TRIGGER"]) == ("DISPLAY", "-PT5M")  # 3.6.6, 3.3.6
        assert event["ALARM DESCRIPTION"]
        assert event["SEQUENCE"] == "2"
    assert len({event["UID"] for event in events}) == 6


def instant(text: str) -> int:
    """Form 2 of 3.3.5: UTC, with a Z."""
    assert re.fullmatch(r"\d{8}T\d{6}Z", text)
    return int(datetime.strptime(text, "%Y%m%dT%H%M%SZ").replace(tzinfo=UTC).timestamp())


def test_no_trial_no_letter_and_no_title_is_told(made: Any, notebook: Any) -> None:
    session, _, _, content = made
    told = content.decode()
    assert session.plan.title not in told
    key = scenes.key_of(notebook, session.id)
    assert not any(order in told for _, order in key.orders)
    assert not any(trial in told for trial in session.plan.trial_ids)


def test_a_general_library_reads_the_same(made: Any) -> None:
    content = made[3]
    events = Calendar.from_ical(content).walk("VEVENT")
    ours = components(read(content))
    for event, mine in zip(events, ours, strict=True):
        assert str(event["SUMMARY"]) == unescaped(mine["SUMMARY"])
        assert str(event["DESCRIPTION"]) == unescaped(mine["DESCRIPTION"])
        assert int(event["DTSTART"].dt.timestamp()) == instant(mine["DTSTART"])
        (alarm,) = event.walk("VALARM")
        assert alarm["TRIGGER"].dt.total_seconds() == -300


@given(st.text(max_size=200))
def test_any_text_comes_back_from_escaping_and_folding(text: str) -> None:
    line = f"SUMMARY:{calendar_file.escaped(text)}"
    content = "".join(f"{part}\r\n" for part in calendar_file.folded(line)).encode(errors="surrogatepass")
    ((_, value),) = read(content)
    kept = text.replace("\r\n", "\n")
    assert unescaped(value) == "".join(c for c in kept if c in "\t\n" or (ord(c) >= 32 and ord(c) != 127))
