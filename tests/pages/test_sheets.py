"""Sheets and paper answers over the real server: who gets them, what is stored, what is refused."""

from __future__ import annotations

import http.client
from typing import Any

import pytest

from evaluation.actions import bench, paper
from tests.pages.conftest import Desk

CHOOSE = {"passphrase": "violets in the rain", "again": "violets in the rain"}


@pytest.fixture(scope="module")
def conductor(desk: Desk) -> dict[str, str]:
    return desk.server.post("/first-passphrase", CHOOSE).cookies


def ask(desk: Desk, method: str, path: str, cookies: dict[str, str], body: bytes = b"", **headers: str) -> Any:
    """Status, headers and bytes of one answer; from our own page unless ``Origin`` says otherwise."""
    line = http.client.HTTPConnection("127.0.0.1", desk.server.port, timeout=60)
    sent = {"Host": f"localhost:{desk.server.port}", "Origin": desk.server.origin, **headers}
    sent["Cookie"] = "; ".join(f"{name}={value}" for name, value in cookies.items())
    try:
        line.request(method, path, body or None, sent)
        reply = line.getresponse()
        return reply.status, {name.lower(): value for name, value in reply.getheaders()}, reply.read()
    finally:
        line.close()


def looks(desk: Desk) -> int:
    return sum(one.kind == "key shown" for one in bench.log(desk.notebook, desk.session_id))


def every(desk: Desk) -> list[tuple[str, str]]:
    at = desk.session_id
    sheets = ("ballots", "strip-labels", "times", "preparers", "calendar", "answers", "nothing")
    opened = [("GET", f"/sheets/{at}/{name}") for name in sheets] + [("GET", f"/paper/{at}")]
    keyed = [("POST", f"/sheets/{at}/key/{name}") for name in ("preparation", "letter-key", "vial-labels")]
    return [*opened, *keyed, ("POST", f"/paper/{at}"), ("POST", f"/paper/{at}/table")]


def test_a_panelist_and_a_stranger_get_nothing(desk: Desk, conductor: dict[str, str]) -> None:
    before = bench.last_event(desk.notebook, desk.session_id)
    for cookies in ({}, desk.join(2), {"mouillette_visit": "invented"}):
        for method, path in every(desk):
            status, _, body = ask(desk, method, path, cookies, b"looking=&card=1-1&line=1")
            assert (status, body) == (403, b"This is open to the conductor only."), path
    assert bench.last_event(desk.notebook, desk.session_id) == before


def test_the_conductor_gets_each_sheet_and_no_look_is_logged(desk: Desk, conductor: dict[str, str]) -> None:
    before = looks(desk)
    for name in ("ballots", "strip-labels", "times"):
        status, headers, body = ask(
            desk, "GET", f"/sheets/{desk.session_id}/{name}?paper=letter&stock=letter-30", conductor
        )
        assert (status, headers["content-type"], headers["cache-control"]) == (200, "application/pdf", "no-store")
        assert headers["content-disposition"].startswith("attachment")
        assert body.startswith(b"%PDF-")
        status, headers, body = ask(desk, "GET", f"/sheets/{desk.session_id}/{name}?form=html", conductor)
        assert (status, headers["content-type"]) == (200, "text/html; charset=utf-8")
        assert "script" not in headers["content-security-policy"].replace("default-src 'none'", "")
        assert b"codes only" in body
    assert looks(desk) == before


@pytest.mark.parametrize("name", ["preparation", "letter-key", "vial-labels"])
def test_the_key_is_printed_by_a_logged_tap_only(desk: Desk, conductor: dict[str, str], name: str) -> None:
    path, before = f"/sheets/{desk.session_id}/key/{name}", looks(desk)
    fetched = ask(desk, "GET", path, conductor)[2]  # by address there is the framework's empty page and no sheet
    assert b'<div id="root">' in fetched
    assert b"%PDF" not in fetched
    assert ask(desk, "GET", f"/sheets/{desk.session_id}/{name}", conductor)[0] == 400
    assert ask(desk, "POST", path, conductor, b"form=pdf")[0] == 400  # nobody said who is looking
    assert ask(desk, "POST", path, conductor, b"looking=", Origin="https://elsewhere.example")[0] == 403
    assert looks(desk) == before
    status, headers, body = ask(desk, "POST", path, conductor, b"looking=&form=pdf&paper=a4&stock=a4-65")
    assert (status, headers["cache-control"]) == (200, "no-store")
    assert body.startswith(b"%PDF-")
    assert looks(desk) == before + 1


@pytest.mark.parametrize(
    ("query", "status"),
    [("paper=a5", 400), ("used=x", 400), ("used=999", 400), ("right=9", 400), ("seat=99", 400), ("stock=none", 400)],
)
def test_a_wish_that_cannot_be_met_is_one_sentence(
    desk: Desk, conductor: dict[str, str], query: str, status: int
) -> None:
    got, _, body = ask(desk, "GET", f"/sheets/{desk.session_id}/strip-labels?{query}", conductor)
    assert got == status
    assert b"\n" not in body
    assert body.endswith(b".")


def test_without_a_timetable_and_without_a_session_it_is_said(desk: Desk, conductor: dict[str, str]) -> None:
    assert ask(desk, "GET", f"/sheets/{desk.session_id}/calendar", conductor)[0] == 409
    assert ask(desk, "GET", "/sheets/nothing/ballots", conductor)[0] == 404


def test_lines_are_typed_one_after_the_other(desk: Desk, conductor: dict[str, str]) -> None:
    card = paper.cards(desk.notebook, desk.session_id)[0]
    path = f"/paper/{desk.session_id}"
    first = ask(desk, "GET", path, conductor)[2].decode()
    assert f"card {card.label}" in first
    assert "autofocus" in first
    wrong = ask(desk, "POST", path, conductor, f"card={card.label}&line=999+%3Cb%3E".encode())[2].decode()
    assert 'role="alert"' in wrong
    assert "999 &lt;b&gt;" in wrong  # what was typed stands in the field again, and formats nothing
    assert "<b>" not in wrong
    after = ask(desk, "POST", path, conductor, f"card={card.label}&line={card.codes[0]}+2".encode())[2].decode()
    assert "is stored: 2 answers" in after
    assert f"card {paper.cards(desk.notebook, desk.session_id)[1].label}" in after
    jump = ask(desk, "POST", path, conductor, b"card=1-2&line=5-1")[2].decode()
    assert "card 5-1" in jump
    five = next(one for one in paper.cards(desk.notebook, desk.session_id) if one.label == "5-1")
    ask(desk, "POST", path, conductor, f"card=1-2&line=5-1+{five.codes[2]}+4".encode())
    with desk.notebook.reading() as tx:
        stored = [(one.question, one.value) for one in tx.ballots.answers(five.ballot_id)]
    assert stored == [("choice", five.codes[2]), ("sure", "sure")]


def test_a_table_is_sent_as_a_browser_sends_it(desk: Desk, conductor: dict[str, str]) -> None:
    path = f"/paper/{desk.session_id}/table"
    kind = {"Content-Type": "multipart/form-data; boundary=xx"}
    around = b'--xx\r\nContent-Disposition: form-data; name="table"; filename="a.csv"\r\nContent-Type: text/csv\r\n\r\n'
    bad = around + b"card,question,answer\r\n7-1,sure,2\r\n7-1,choice,1\r\n\r\n--xx--\r\n"
    told = ask(desk, "POST", path, conductor, bad, **kind)[2].decode()
    assert "Nothing was stored. Line 3" in told
    good = around + b"card,question,answer\r\n7-1,sure,2\r\n8-2,overheard,no\r\n\r\n--xx--\r\n"
    assert "The table is stored: 2 answers" in ask(desk, "POST", path, conductor, good, **kind)[2].decode()
    empty = ask(desk, "POST", path, conductor, b"--xx--\r\n", **kind)[2].decode()
    assert "Nothing was stored" in empty


def test_a_file_that_is_too_long_is_not_kept(desk: Desk, conductor: dict[str, str]) -> None:
    body = b"card,question,answer\r\n" + b"1-2,overheard,no\r\n" * 150_000
    told = ask(desk, "POST", f"/paper/{desk.session_id}/table", conductor, body, **{"Content-Type": "text/csv"})
    assert b"Nothing was stored. A table of paper answers may have at most 2 MB; this has more." in told[2]
    inside = b'--xx\r\nContent-Disposition: form-data; name="table"; filename="a.csv"\r\n\r\n' + body
    kind = {"Content-Type": "multipart/form-data; boundary=xx"}  # its end is not read any more
    assert b"at most 2 MB" in ask(desk, "POST", f"/paper/{desk.session_id}/table", conductor, inside, **kind)[2]


def test_a_form_inside_a_form_without_end_is_one_sentence(desk: Desk, conductor: dict[str, str]) -> None:
    deep = b"".join(
        b"--b%d\r\nContent-Type: multipart/mixed; boundary=b%d\r\n\r\n" % (number, number + 1) for number in range(3000)
    )
    told = ask(
        desk,
        "POST",
        f"/paper/{desk.session_id}/table",
        conductor,
        deep,
        **{"Content-Type": "multipart/form-data; boundary=b0"},
    )
    assert told[0] < 500
    assert b"Traceback" not in told[2]
