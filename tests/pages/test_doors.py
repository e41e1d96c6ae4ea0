"""The doors over the real server: plain routes, cookies, and what the websocket then shows."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from parts import house
from parts.doors import visitor
from streamlit.testing.v1 import AppTest
from streamlit.util import calc_hash

from evaluation.actions import bench, doors, recovery
from evaluation.clock import SystemClock
from evaluation.store import Notebook
from tests.pages.conftest import Desk
from tests.pages.wire import ROOT, Running, content, everything, pages, running
from tests.scenes import scene

PASSPHRASE = "violets in the rain"
CHOOSE = {"passphrase": PASSPHRASE, "again": PASSPHRASE}


@pytest.fixture(scope="module")
def signed_in(desk: Desk) -> dict[str, str]:
    """The conductor's cookies, after the first passphrase was chosen; what came before is asserted on the way."""
    with desk.server.open() as tab:
        assert "" in pages(tab.run())
        assert "/sign-in" not in everything(tab.frames)  # nobody needs to sign in on this machine yet
    chosen = desk.server.post("/first-passphrase", CHOOSE)
    assert chosen.status == 303
    return chosen.cookies


def shown(desk: Desk, cookies: dict[str, str] | None, **state: str) -> list[object]:
    with desk.server.open(cookies) as tab:
        return tab.run(**state)


def test_after_a_passphrase_was_chosen_nobody_gets_in_without_it(desk: Desk, signed_in: dict[str, str]) -> None:
    assert "/sign-in" in everything(shown(desk, None))
    assert "/sign-in" not in everything(shown(desk, signed_in))
    assert "/sign-in" in everything(shown(desk, {"mouillette_visit": "invented"}))


def test_the_first_passphrase_is_chosen_once(desk: Desk, signed_in: dict[str, str]) -> None:
    again = desk.server.post("/first-passphrase", {"passphrase": "another one", "again": "another one"})
    assert again.status == 403
    assert "has been chosen already" in again.text
    assert "mouillette_visit" not in again.set_cookies


def test_signing_in_sets_a_cookie_no_script_and_no_other_site_can_use(desk: Desk, signed_in: dict[str, str]) -> None:
    entered = desk.server.post("/sign-in", {"passphrase": PASSPHRASE})
    assert entered.status == 303
    assert entered.header("location") == "/"
    sent = entered.set_cookies["mouillette_visit"].lower()
    assert "httponly" in sent
    assert "samesite=strict" in sent
    assert "path=/" in sent
    assert "/sign-in" not in everything(shown(desk, entered.cookies))


def test_a_panelist_sees_the_ballot_and_no_other_page(desk: Desk, signed_in: dict[str, str]) -> None:
    frames = shown(desk, desk.join())
    assert list(pages(frames)) == [""]
    assert not {"Trial book", "Panel", "Plan", "Bench", "Alone", "Findings", "Decision"} & set(pages(frames).values())


@pytest.mark.parametrize("page", ["bench", "findings/", "solo", "decide"])
def test_anybody_else_who_asks_for_a_page_of_the_conductor_is_sent_to_the_front_door(
    desk: Desk, signed_in: dict[str, str], page: str
) -> None:
    for cookies in ({}, desk.join()):
        answer = desk.server.get(f"/{page}", cookies)
        assert (answer.status, answer.header("location")) == (303, "/")
    own = desk.server.get(f"/{page}", signed_in)  # the framework moves "findings/" to "findings"
    assert own.status == 200 or own.header("location").endswith(page.rstrip("/"))


def test_joining_answers_with_the_cookie_at_once(desk: Desk, signed_in: dict[str, str]) -> None:
    joined = desk.server.get(f"/join/{desk.token(2)}")
    assert (joined.status, joined.header("location")) == (303, "/")
    for name in ("mouillette_visit", "mouillette_joined"):
        sent = joined.set_cookies[name].lower()
        assert "httponly" in sent
        assert "samesite=strict" in sent
    assert desk.token(2) not in joined.cookies["mouillette_visit"]  # the cookie is a visit, not the link


def test_a_link_works_again_in_another_browser(desk: Desk, signed_in: dict[str, str]) -> None:
    first, second = desk.join(3), desk.join(3)
    assert first["mouillette_visit"] != second["mouillette_visit"]
    assert list(pages(shown(desk, first))) == list(pages(shown(desk, second))) == [""]


@pytest.mark.parametrize("token", ["x", "a" * 27, "a" * 5000, "..", "%00"])
def test_a_wrong_link_opens_nothing(desk: Desk, signed_in: dict[str, str], token: str) -> None:
    refused = desk.server.get(f"/join/{token}")
    assert refused.status in (400, 403)
    assert not refused.set_cookies


def test_a_conductor_is_asked_before_joining(desk: Desk, signed_in: dict[str, str]) -> None:
    cookies = desk.server.post("/sign-in", {"passphrase": PASSPHRASE}).cookies
    path = f"/join/{desk.token(4)}"
    asked = desk.server.get(path, cookies)
    assert asked.status == 200
    assert not asked.set_cookies
    assert "signs the conductor out" in asked.text
    assert "/sign-in" not in everything(shown(desk, cookies))  # still the conductor: a GET did nothing
    joined = desk.server.post(path, {}, cookies)
    assert joined.status == 303
    assert list(pages(shown(desk, joined.cookies))) == [""]
    assert "/sign-in" in everything(shown(desk, cookies))  # that visit has ended


def test_a_link_followed_from_another_site_hops_once(desk: Desk, signed_in: dict[str, str]) -> None:
    path = f"/join/{desk.token(5)}"
    hop = desk.server.get(path, sec_fetch_site="cross-site")
    assert (hop.status, hop.set_cookies) == (200, {})
    assert f"url={path}?again=1" in hop.text
    assert "mouillette_visit" in desk.server.get(f"{path}?again=1", sec_fetch_site="same-origin").cookies


def test_a_page_elsewhere_cannot_take_the_conductors_seat_by_the_address_after_the_hop(
    desk: Desk, signed_in: dict[str, str]
) -> None:
    """Without the cookies, which browsers hold back, nobody would be asked: so nothing is set, and nothing loops."""
    answer = desk.server.get(f"/join/{desk.token(5)}?again=1", sec_fetch_site="cross-site")
    assert (answer.status, answer.set_cookies) == (200, {})
    assert "Open my ballot" in answer.text
    assert "refresh" not in answer.text


def test_a_renewed_link_ends_the_old_one_and_its_visits(desk: Desk, signed_in: dict[str, str]) -> None:
    old, cookies = desk.token(6), desk.join(6)
    with desk.server.open(cookies) as tab:
        tab.run()
        doors.renew_link(desk.notebook, desk.secret, desk.ballot_ids[5])
        assert "/sign-in" in everything(tab.run())  # the open tab loses it too: asked at every run
    refused = desk.server.get(f"/join/{old}")
    assert refused.status == 403
    assert "no longer" in refused.text
    assert desk.token(6) != old
    assert list(pages(shown(desk, desk.join(6)))) == [""]


def test_leaving_ends_the_visit(desk: Desk, signed_in: dict[str, str]) -> None:
    cookies = desk.server.post("/sign-in", {"passphrase": PASSPHRASE}).cookies
    assert desk.server.get("/leave", cookies).set_cookies == {}
    assert "/sign-in" not in everything(shown(desk, cookies))
    assert desk.server.post("/leave", {}, cookies).status == 303
    assert "/sign-in" in everything(shown(desk, cookies))


@pytest.mark.parametrize(
    "name", ["briefs", "descriptors", "panel", "skin", "plan", "bench", "findings", "decide", "start", "app", "serve"]
)
def test_no_page_of_the_conductor_can_be_reached_from_a_ballot(
    desk: Desk, signed_in: dict[str, str], name: str
) -> None:
    """By typed path, by the hash of the page's address and by its name, as the browser's own message carries them."""
    for cookies in (desk.join(7), {}):
        own = content(shown(desk, cookies))
        for state in ({"page_name": name}, {"page_script_hash": calc_hash(name)}, {"page_name": f"../{name}.py"}):
            frames = shown(desk, cookies, **state)
            assert content(frames) == own
            assert set(pages(frames)) == {""}


def test_the_crafted_messages_above_do_reach_pages_of_ones_own(desk: Desk, signed_in: dict[str, str]) -> None:
    own = content(shown(desk, signed_in))
    assert content(shown(desk, signed_in)) == own
    assert content(shown(desk, signed_in, page_name="panel")) != own
    assert content(shown(desk, signed_in, page_script_hash=calc_hash("panel"))) != own


@pytest.mark.parametrize("address", ["/first-passphrase", "/sign-in", "/leave", "/passphrase", "/let-in"])
@pytest.mark.parametrize("origin", ["", "null", "https://elsewhere.example", "http://localhost:1"])
def test_forms_from_elsewhere_are_refused(desk: Desk, signed_in: dict[str, str], address: str, origin: str) -> None:
    refused = desk.server.post(address, {"passphrase": PASSPHRASE}, signed_in, origin=origin)
    assert (refused.status, refused.set_cookies) == (403, {})
    assert "another site" in refused.text


def test_wrong_passphrases_slow_down_and_the_right_one_works_after_the_wait(tmp_path: Path) -> None:
    file = tmp_path / "slow.sqlite"
    with running("--data", str(file)) as server:
        server.post("/first-passphrase", CHOOSE)
        for _ in range(5):
            assert "not the passphrase" in server.post("/sign-in", {"passphrase": "wrong one"}).text
        shut = server.post("/sign-in", {"passphrase": PASSPHRASE})
        assert shut.status == 403
        assert "wait a minute" in shut.text
    notebook = Notebook.open(file, SystemClock())
    with notebook.writing() as tx:
        assert tx.doors.failures(doors.CONDUCTOR, 0) == 5
        for _ in range(5):  # ten close the door for ten minutes: a start may take one
            tx.doors.note_attempt(doors.CONDUCTOR, False)
    notebook.close()
    with running("--data", str(file)) as server:  # the count is in the database, not in the process
        assert "wait ten minutes" in server.post("/sign-in", {"passphrase": PASSPHRASE}).text


RELAYED = (
    {},
    *({name: f"10.0.0.{n}"} for n, name in enumerate(("x_forwarded_for", "forwarded", "x_real_ip", "via", "cf_ray"))),
    {"cookie": "mouillette_known=invented"},
)


def test_no_forged_header_makes_guessing_faster_and_a_known_browser_waits_for_nobody(tmp_path: Path) -> None:
    """Behind a proxy all come from one address, and what they say of theirs is theirs to say: it counts for nothing."""
    with running("--data", str(tmp_path / "n.sqlite")) as server:
        known = server.post("/first-passphrase", CHOOSE).cookies
        del known["mouillette_visit"]
        tried = [server.post("/sign-in", {"passphrase": f"wrong {n}"}, None, **RELAYED[n % 7]).text for n in range(14)]
        assert ["not the passphrase" in text for text in tried] == [True] * 5 + [False] * 9
        stranger = server.post("/sign-in", {"passphrase": PASSPHRASE})
        assert (stranger.status, "mouillette_known" in stranger.set_cookies) == (403, False)
        assert "python -m evaluation passphrase" in stranger.text
        entered = server.post("/sign-in", {"passphrase": PASSPHRASE}, known)
        assert (entered.status, entered.cookies["mouillette_known"]) == (303, known["mouillette_known"])
        sent = entered.set_cookies["mouillette_known"].lower()
        assert "httponly" in sent
        assert "samesite=strict" in sent


def test_the_code_from_the_machine_itself_lets_in(desk: Desk, signed_in: dict[str, str]) -> None:
    asked = desk.server.get("/let-in")
    assert (asked.status, asked.set_cookies) == (200, {})
    assert "python -m evaluation passphrase" in asked.text
    code = recovery.new_code(desk.notebook)
    refused = desk.server.post("/let-in", {"code": "AAAA-AAAA-AAAA"})
    assert (refused.status, refused.set_cookies) == (403, {})
    entered = desk.server.post("/let-in", {"code": code.lower()})
    assert (entered.status, entered.header("location")) == (303, "/")
    assert {"mouillette_visit", "mouillette_known"} <= set(entered.set_cookies)
    assert "/sign-in" not in everything(shown(desk, entered.cookies))
    assert desk.server.post("/let-in", {"code": code}).status == 403


def test_the_passphrase_is_changed_on_a_page_by_who_knows_it(tmp_path: Path) -> None:
    changed = {"passphrase": "moss on the north side", "again": "moss on the north side"}
    with running("--data", str(tmp_path / "n.sqlite")) as server:
        assert server.get("/passphrase").header("location") == "/first-passphrase"
        here = server.post("/first-passphrase", CHOOSE).cookies
        there = server.post("/sign-in", {"passphrase": PASSPHRASE}).cookies
        assert server.get("/passphrase").header("location") == "/sign-in"  # a stranger
        assert server.post("/passphrase", {**changed, "current": PASSPHRASE}).header("location") == "/sign-in"
        assert "Passphrase as it is now" in server.get("/passphrase", here).text
        for wrong, says in (
            ({**changed, "current": "wrong one"}, "not the passphrase"),
            ({**changed, "current": PASSPHRASE, "again": "moss"}, "differ"),
            ({"current": PASSPHRASE, "passphrase": "moss", "again": "moss"}, "at least 8"),
        ):
            refused = server.post("/passphrase", wrong, here)
            assert (refused.status, refused.set_cookies, says in refused.text) == (403, {}, True)
        entered = server.post("/passphrase", {**changed, "current": PASSPHRASE}, here)
        assert (entered.status, entered.header("location")) == (303, "/")
        for cookies, signs_in in ((here, True), (there, True), ({**here, **entered.cookies}, False)):
            with server.open(cookies) as tab:
                assert ("/sign-in" in everything(tab.run())) == signs_in
        assert server.post("/sign-in", {"passphrase": PASSPHRASE}).status == 403
        assert server.post("/sign-in", {"passphrase": "moss on the north side"}).status == 303


@pytest.mark.parametrize(
    ("form", "says"),
    [
        ({"passphrase": "short", "again": "short"}, "at least 8"),
        ({"passphrase": "long enough", "again": "long enouhg"}, "differ"),
        ({}, "at least 8"),
        ({"passphrase": "x" * 5000, "again": "x" * 5000}, "at least 8"),  # longer than any form of ours: unread
    ],
)
def test_a_bad_first_passphrase_is_one_sentence(fresh: Running, form: dict[str, str], says: str) -> None:
    refused = fresh.post("/first-passphrase", form)
    assert refused.status == 403
    assert says in refused.text


@pytest.mark.parametrize(
    "header",
    ["x_forwarded_for", "forwarded", "via", "x_real_ip", "x_forwarded_host", "x_client_ip", "fastly_client_ip",
     "x_original_host", "cf_connecting_ip", "cf_ray", "x_envoy_external_address", "cdn_loop"],
)  # fmt: skip
def test_behind_a_relay_nobody_is_let_in_without_passphrase(fresh: Running, header: str) -> None:
    with fresh.open(**{header: "for=10.1.2.3"}) as tab:
        assert "/sign-in" in everything(tab.run())
    assert "set-up code" in fresh.get("/first-passphrase", **{header: "10.1.2.3"}).text.lower()
    assert fresh.post("/first-passphrase", CHOOSE, **{header: "10.1.2.3"}).status == 403


def test_a_browser_that_joined_a_ballot_is_not_let_in_without_passphrase(fresh: Running) -> None:
    with fresh.open({"mouillette_joined": "1"}) as tab:
        assert "/sign-in" in everything(tab.run())
    with fresh.open() as tab:
        assert "/sign-in" not in everything(tab.run())


@pytest.fixture(scope="module")
def fresh(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    """A server nobody has chosen a passphrase for."""
    with running("--data", str(tmp_path_factory.mktemp("fresh") / "fresh.sqlite")) as server:
        yield server


def test_under_a_public_address_the_set_up_code_is_needed(tmp_path: Path) -> None:
    file = tmp_path / "public.sqlite"
    with running("--data", str(file), "--public-url", "https://smell.example.org") as server:
        with server.open() as tab:
            assert "/sign-in" in everything(tab.run())
        assert server.post("/first-passphrase", {**CHOOSE, "code": "0" * 10}).status == 403
        code = server.told("set-up code").split()[-1]
        chosen = server.post("/first-passphrase", {**CHOOSE, "code": code}, origin="https://smell.example.org")
        assert chosen.status == 303
        for answer in (chosen, server.get("/_stcore/health"), server.get("/_stcore/host-config"), server.get("/")):
            assert all("; secure" in sent.lower() for sent in answer.set_cookies.values()), answer.set_cookies
        assert "_streamlit_xsrf" in server.get("/_stcore/health").set_cookies  # the framework's own, which has a sign


def test_without_a_passphrase_the_conductor_is_asked_too(tmp_path: Path) -> None:
    """The framework's own cookie tells that this browser had the conductor's pages open."""
    file = tmp_path / "open.sqlite"
    notebook = Notebook.open(file, SystemClock())
    session = scene(notebook).smelling()
    token = next(iter(doors.links(notebook, doors.server_secret(file), session.id).values()))
    notebook.close()
    with running("--data", str(file)) as server:
        used = server.get("/_stcore/health").cookies
        asked = server.get(f"/join/{token}", used)
        assert (asked.status, asked.set_cookies) == (200, {})
        assert "choose a passphrase" in asked.text
        joined = server.post(f"/join/{token}", {}, used)
        assert joined.status == 303
        assert server.get(f"/join/{token}", {**used, **joined.cookies}).status == 303  # a panelist's now: no question
        assert server.get(f"/join/{token}").status == 303  # a browser that never was here


def test_the_link_of_a_closed_session_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "closed.sqlite"
    notebook = Notebook.open(file, SystemClock())
    session = scene(notebook).smelling()
    token = next(iter(doors.links(notebook, doors.server_secret(file), session.id).values()))
    bench.close(notebook, session.id)
    notebook.close()
    with running("--data", str(file)) as server:
        refused = server.get(f"/join/{token}")
    assert (refused.status, refused.set_cookies) == (403, {})
    assert "session is closed" in refused.text


def test_a_secret_that_is_gone_is_said_at_the_start_and_on_the_bench(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv(doors.SECRET_VARIABLE, raising=False)
    file = tmp_path / "n.sqlite"
    notebook = Notebook.open(file, SystemClock())
    session = scene(notebook).smelling()
    secret = doors.server_secret(file)
    doors.links(notebook, secret, session.id)
    with running("--data", str(file), cwd=tmp_path) as server:
        server.told("Open http")
        assert not any("secret" in line for line in server.said)
    (tmp_path / "n.sqlite.secret").unlink()
    with running("--data", str(file), cwd=tmp_path) as server:
        assert "They work until the bench shows new ones" in server.told("lost or exchanged")
    monkeypatch.setattr(visitor, "current", lambda: visitor.Visitor(doors.CONDUCTOR))
    house.put(house.House(notebook, doors.server_secret(file)))
    app = AppTest.from_file(str(ROOT / "pages" / "app.py"), default_timeout=120)
    app.switch_page("bench.py").run()
    told = [any("hand these out" in one.value for one in each.warning) for each in (app, app.run())]
    shut = [one.value for part in app.expander for one in part.warning]
    house.put(None)
    notebook.close()
    assert told == [True, True]
    assert not any("hand these out" in one for one in shut), "it is seen whatever is open"
