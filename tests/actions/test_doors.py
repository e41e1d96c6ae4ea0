"""The doors without a server: passphrase, slow-down, links, visits, secret."""

from __future__ import annotations

import base64
import hmac
import os
import re
import stat
import sys
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from argon2 import PasswordHasher

from evaluation.actions import bench, doors
from evaluation.clock import SteppedClock
from evaluation.errors import ArgumentError, MouilletteError, Refused, StateError, StoreError
from tests.scenes import answer_all, ballots, scene

PASSPHRASE = "violets in the rain"
SECRET = bytes(range(32))


def test_the_passphrase_is_kept_as_an_argon2id_hash(notebook: Any) -> None:
    assert not doors.has_passphrase(notebook)
    doors.set_passphrase(notebook, PASSPHRASE)
    with notebook.reading() as tx:
        kept = tx.doors.passphrase()
    assert kept.startswith("$argon2id$")
    assert PASSPHRASE not in kept
    assert PasswordHasher().verify(kept, PASSPHRASE)  # argon2-cffi, asked directly


@pytest.mark.parametrize("text", ["", "seven77", "       x      ", "x" * 201])
def test_a_passphrase_too_short_or_too_long_is_refused(notebook: Any, text: str) -> None:
    with pytest.raises(ArgumentError, match="characters"):
        doors.set_passphrase(notebook, text)
    assert not doors.has_passphrase(notebook)


def test_a_hash_with_old_parameters_is_made_anew_at_sign_in(notebook: Any) -> None:
    weak = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1).hash(PASSPHRASE)
    with notebook.writing() as tx:
        tx.doors.set_passphrase(weak)
    doors.sign_in(notebook, PASSPHRASE)
    with notebook.reading() as tx:
        kept = tx.doors.passphrase()
    assert kept != weak
    assert not PasswordHasher().check_needs_rehash(kept)
    assert doors.who(notebook, doors.sign_in(notebook, PASSPHRASE)).role == "conductor"


def test_signing_in_without_a_passphrase_chosen_is_refused(notebook: Any) -> None:
    with pytest.raises(Refused):
        doors.sign_in(notebook, PASSPHRASE)


def test_a_visit_ends_after_twelve_hours(notebook: Any, clock: SteppedClock) -> None:
    doors.set_passphrase(notebook, PASSPHRASE)
    cookie = doors.sign_in(notebook, PASSPHRASE)
    clock.forward(minutes=12 * 60 - 1)
    assert doors.who(notebook, cookie) == doors.Visitor("conductor")
    clock.forward(minutes=1)
    assert doors.who(notebook, cookie) == doors.NO_VISITOR


def test_the_store_knows_no_token(notebook: Any) -> None:
    doors.set_passphrase(notebook, PASSPHRASE)
    cookie = doors.sign_in(notebook, PASSPHRASE)
    with notebook.reading() as tx:
        assert tx.doors.visit(cookie) is None
        assert tx.doors.visit(sha256(cookie.encode()).hexdigest()).role == "conductor"


def test_a_new_passphrase_ends_the_visits_of_the_old_one(notebook: Any) -> None:
    doors.set_passphrase(notebook, PASSPHRASE)
    cookie = doors.sign_in(notebook, PASSPHRASE)
    doors.set_passphrase(notebook, "another passphrase")
    assert doors.who(notebook, cookie) == doors.NO_VISITOR
    with pytest.raises(Refused):
        doors.sign_in(notebook, PASSPHRASE)


def test_the_first_passphrase_is_set_once(notebook: Any) -> None:
    cookie = doors.set_first_passphrase(notebook, PASSPHRASE)
    assert doors.who(notebook, cookie).role == "conductor"
    with pytest.raises(Refused, match="already"):
        doors.set_first_passphrase(notebook, "another passphrase")
    assert doors.sign_in(notebook, PASSPHRASE)


def test_signing_out_ends_that_visit_only(notebook: Any) -> None:
    doors.set_passphrase(notebook, PASSPHRASE)
    one, two = doors.sign_in(notebook, PASSPHRASE), doors.sign_in(notebook, PASSPHRASE)
    doors.sign_out(notebook, one)
    assert doors.who(notebook, one) == doors.NO_VISITOR
    assert doors.who(notebook, two).role == "conductor"


@pytest.mark.parametrize("cookie", [None, "", "x", "a" * 10_000, "\u00e9"])
def test_an_unknown_cookie_is_nobody(notebook: Any, cookie: str | None) -> None:
    assert doors.who(notebook, cookie) == doors.NO_VISITOR
    doors.sign_out(notebook, cookie)


def test_wrong_passphrases_shut_the_door_for_longer_and_longer(notebook: Any, clock: SteppedClock) -> None:
    """5 in a minute, 10 in ten minutes, 30 in an hour (our rule); the right one works after the wait."""
    doors.set_passphrase(notebook, PASSPHRASE)
    for minutes in (1, 10, 1, 10, 1, 60):
        _fail_until_shut(notebook, {1: "a minute", 10: "ten minutes", 60: "an hour"}[minutes])
        clock.forward(minutes=minutes, seconds=1)
    assert doors.who(notebook, doors.sign_in(notebook, PASSPHRASE)).role == "conductor"


def _fail_until_shut(notebook: Any, wait: str) -> None:
    for _ in range(5):
        with pytest.raises(Refused, match="no"):
            doors.attempt(notebook, doors.CONDUCTOR, lambda: False, "no")
    with pytest.raises(Refused, match=f"wait {wait},"):  # a shut door is shut for the right passphrase too
        doors.sign_in(notebook, PASSPHRASE)


def test_attempts_at_a_shut_door_do_not_keep_it_shut(notebook: Any, clock: SteppedClock) -> None:
    doors.set_passphrase(notebook, PASSPHRASE)
    _fail_until_shut(notebook, "a minute")
    for _ in range(50):
        clock.forward(seconds=1)
        with pytest.raises(Refused, match="wait"):
            doors.sign_in(notebook, "not this one")
    clock.forward(seconds=11)
    assert doors.sign_in(notebook, PASSPHRASE)


def test_another_door_stays_open(notebook: Any) -> None:
    doors.set_passphrase(notebook, PASSPHRASE)
    for _ in range(5):
        with pytest.raises(Refused):
            doors.attempt(notebook, "set-up code", lambda: False, "no")
    assert doors.sign_in(notebook, PASSPHRASE)


# --- links -----------------------------------------------------------------------------------------------------------


def test_a_token_is_an_hmac_of_ballot_and_issue() -> None:
    """Derived anew with the standard library: HMAC-SHA256 under a key of its own, 160 bits, base64url."""
    key = hmac.new(SECRET, b"mouillette 1 ballot link", sha256).digest()
    expected = base64.urlsafe_b64encode(hmac.new(key, b"b1:3", sha256).digest()[:20]).decode().rstrip("=")
    assert doors.token_for(SECRET, "b1", 3) == expected
    assert re.fullmatch(r"[A-Za-z0-9_-]{27}", expected)


def test_tokens_differ_by_ballot_issue_and_secret() -> None:
    made = {doors.token_for(s, b, i) for s in (SECRET, SECRET[::-1]) for b in ("b1", "b2") for i in (1, 2)}
    assert len(made) == 8


def test_links_are_the_same_each_time_and_open_their_ballot(notebook: Any) -> None:
    session = scene(notebook).smelling()
    links = doors.links(notebook, SECRET, session.id)
    assert links == doors.links(notebook, SECRET, session.id)
    assert set(links) == {one.id for one in ballots(notebook, session.id)}
    for ballot_id, token in links.items():
        cookie, ballot = doors.join(notebook, token)
        assert ballot.id == ballot_id
        assert doors.who(notebook, cookie) == doors.Visitor("ballot", ballot_id)


def test_a_link_opens_a_sealed_session_too(notebook: Any) -> None:
    session = scene(notebook).sealed()
    _, ballot = doors.join(notebook, next(iter(doors.links(notebook, SECRET, session.id).values())))
    assert ballot.session_id == session.id


@pytest.mark.parametrize("token", ["", "x", "a" * 27, "a" * 10_000])
def test_an_invented_link_is_refused(notebook: Any, token: str) -> None:
    scene(notebook).smelling()
    with pytest.raises(Refused, match="not valid"):
        doors.join(notebook, token)


def test_a_link_made_with_another_secret_is_refused(notebook: Any) -> None:
    session = scene(notebook).smelling()
    doors.links(notebook, SECRET, session.id)
    ballot = ballots(notebook, session.id)[0]
    with pytest.raises(Refused):
        doors.join(notebook, doors.token_for(SECRET[::-1], ballot.id, ballot.issue))


def test_a_renewed_link_ends_the_old_one_of_that_ballot_only(notebook: Any) -> None:
    session = scene(notebook).smelling()
    links = doors.links(notebook, SECRET, session.id)
    (first, old), (second, other) = list(links.items())[:2]
    visit, neighbour = doors.join(notebook, old)[0], doors.join(notebook, other)[0]
    new = doors.renew_link(notebook, SECRET, first)
    assert new != old
    assert doors.who(notebook, visit) == doors.NO_VISITOR
    assert doors.who(notebook, neighbour).ballot_id == second
    with pytest.raises(Refused, match="no longer"):
        doors.join(notebook, old)
    assert doors.join(notebook, new)[1].id == first
    assert doors.links(notebook, SECRET, session.id)[first] == new


def test_closed_void_and_finished_are_refused_in_words(notebook: Any) -> None:
    made = scene(notebook)
    closed, void, finished = made.smelling(), made.smelling(), made.smelling()
    tokens = {s.id: doors.links(notebook, SECRET, s.id) for s in (closed, void, finished)}
    bench.close(notebook, closed.id)
    bench.void(notebook, void.id, "the strips were mixed up")
    ballot = ballots(notebook, finished.id)[0]
    answer_all(notebook, ballot.id)
    for session, said in ((closed, "is closed"), (void, "was ended early")):
        with pytest.raises(StateError, match=said):
            doors.join(notebook, next(iter(tokens[session.id].values())))
    with pytest.raises(StateError, match="finished"):
        doors.join(notebook, tokens[finished.id][ballot.id])


def test_a_free_spare_seat_opens_no_ballot(notebook: Any) -> None:
    session = scene(notebook).smelling(people=7, spare=1)
    spare = ballots(notebook, session.id)[-1]
    token = doors.links(notebook, SECRET, session.id)[spare.id]
    with pytest.raises(StateError, match="seat"):
        doors.join(notebook, token)


def test_a_session_smelt_alone_has_no_links(notebook: Any) -> None:
    session = scene(notebook, people=1).smelling(solo=True, replicates=8)
    ballot = ballots(notebook, session.id)[0]
    for asked in (
        lambda: doors.links(notebook, SECRET, session.id),
        lambda: doors.renew_link(notebook, SECRET, ballot.id),
    ):
        with pytest.raises(StateError, match="has no links: it is led, and answered, on the page Alone"):
            asked()
    assert ballots(notebook, session.id) == [ballot]  # no new issue either
    with pytest.raises(Refused, match="not valid"):
        doors.join(notebook, doors.token_for(SECRET, ballot.id, ballot.issue))


def test_a_refused_link_begins_no_visit(notebook: Any) -> None:
    session = scene(notebook).smelling()
    token = next(iter(doors.links(notebook, SECRET, session.id).values()))
    bench.close(notebook, session.id)
    with pytest.raises(MouilletteError):
        doors.check_link(notebook, token)


def test_a_panelists_visit_lasts_seven_days(notebook: Any, clock: SteppedClock) -> None:
    session = scene(notebook).smelling()
    cookie, _ = doors.join(notebook, next(iter(doors.links(notebook, SECRET, session.id).values())))
    clock.forward(minutes=7 * 24 * 60 - 1)
    assert doors.who(notebook, cookie).role == "ballot"
    clock.forward(minutes=1)
    assert doors.who(notebook, cookie) == doors.NO_VISITOR


# --- the secret ----------------------------------------------------------------------------------------------------------


def test_the_secret_lies_beside_the_database_for_its_owner_only(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv(doors.SECRET_VARIABLE, raising=False)
    secret = doors.server_secret(tmp_path / "n.sqlite")
    file = tmp_path / "n.sqlite.secret"
    assert file.read_bytes() == secret
    assert len(secret) == 32
    if sys.platform != "win32":
        assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert doors.server_secret(f"sqlite:///{tmp_path / 'n.sqlite'}") == secret


def test_the_environment_goes_before_the_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(doors.SECRET_VARIABLE, SECRET.hex())
    assert doors.server_secret(tmp_path / "n.sqlite") == SECRET
    assert doors.server_secret("postgresql://somewhere/n") == SECRET
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("given", ["00" * 31, "not hexadecimal", "zz" * 32])
def test_a_poor_secret_in_the_environment_is_refused(monkeypatch: pytest.MonkeyPatch, given: str) -> None:
    monkeypatch.setenv(doors.SECRET_VARIABLE, given)
    with pytest.raises(StoreError, match="64 hexadecimal digits"):
        doors.server_secret(None)


def test_without_a_file_the_secret_is_drawn_or_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(doors.SECRET_VARIABLE, raising=False)
    assert doors.server_secret(None) != doors.server_secret(None)
    with pytest.raises(StoreError, match=doors.SECRET_VARIABLE):
        doors.server_secret("postgresql://somewhere/n")


def test_a_damaged_secret_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(doors.SECRET_VARIABLE, raising=False)
    (tmp_path / "n.sqlite.secret").write_bytes(b"short")
    with pytest.raises(StoreError, match="damaged"):
        doors.server_secret(tmp_path / "n.sqlite")


def test_a_longer_secret_that_came_with_a_backup_is_taken(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The environment may give more than 32 bytes, and a restore lays the same beside the file."""
    monkeypatch.delenv(doors.SECRET_VARIABLE, raising=False)
    (tmp_path / "n.sqlite.secret").write_bytes(bytes(range(48)))
    assert doors.server_secret(tmp_path / "n.sqlite") == bytes(range(48))


def test_a_first_write_that_was_cut_off_mends_itself(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(doors.SECRET_VARIABLE, raising=False)
    (tmp_path / "n.sqlite.secret").touch()
    assert doors.known_secret(tmp_path / "n.sqlite") is None
    secret = doors.server_secret(tmp_path / "n.sqlite")
    assert len(secret) == 32
    assert doors.server_secret(tmp_path / "n.sqlite") == doors.known_secret(tmp_path / "n.sqlite") == secret
    assert [one.name for one in tmp_path.iterdir()] == ["n.sqlite.secret"]


@pytest.mark.parametrize("state", ["missing", "empty", "empty, and a draw left by a kill"])
def test_of_two_who_draw_at_once_both_come_away_with_one_secret(
    state: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The other one comes, and goes through, before each step on the disk of the first."""
    monkeypatch.delenv(doors.SECRET_VARIABLE, raising=False)
    steps = 0
    for moment in range(40):
        folder = tmp_path / str(moment)
        folder.mkdir()
        if state != "missing":
            (folder / "n.sqlite.secret").touch()
        if state.endswith("kill"):
            (folder / "n.sqlite.secret.first").write_bytes(b"k" * 32)
        mine, other = _with_another_at(moment, folder / "n.sqlite", monkeypatch)
        steps += other is not None
        assert other in (mine, None)
        assert len(mine) == 32
        assert (folder / "n.sqlite.secret").read_bytes() == mine
        assert [one.name for one in folder.iterdir()] == ["n.sqlite.secret"]
    assert 3 <= steps < 40  # each step had its turn


def _with_another_at(moment: int, file: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[bytes, bytes | None]:
    """The secret of one who is interrupted before step ``moment``, and of the other who came then, if there was one."""
    taken = 0
    other: bytes | None = None

    def interrupted(real: Callable[..., Any]) -> Callable[..., Any]:
        def step(*given: Any, **more: Any) -> Any:
            nonlocal taken, other
            taken += 1
            if taken == moment + 1:
                other = doors.server_secret(file)
            return real(*given, **more)

        return step

    with monkeypatch.context() as patched:
        for name in ("open", "link", "replace", "fsync"):
            patched.setattr(doors.os, name, interrupted(getattr(os, name)))
        for name in ("exists", "stat", "read_bytes", "unlink"):
            patched.setattr(Path, name, interrupted(getattr(Path, name)))
        mine = doors.server_secret(file)
    return mine, other


def test_a_secret_appears_whole_or_not_at_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(doors.SECRET_VARIABLE, raising=False)

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(doors.os, "fsync", full)
        with pytest.raises(StoreError, match="No space left"):
            doors.server_secret(tmp_path / "n.sqlite")
    assert list(tmp_path.iterdir()) == []
    assert len(doors.server_secret(tmp_path / "n.sqlite")) == 32


@pytest.mark.parametrize("links", [True, False], ids=["hard links", "none"])
def test_of_two_who_draw_the_first_secret_one_wins(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, links: bool
) -> None:
    def refused(*_: object) -> None:
        raise OSError(95, "Operation not supported")

    if not links:
        monkeypatch.setattr(doors.os, "link", refused)
    path = tmp_path / "n.sqlite.secret"
    doors._write_secret(path, b"1" * 32)
    with pytest.raises(FileExistsError):
        doors._write_secret(path, b"2" * 32)
    assert path.read_bytes() == b"1" * 32
    assert stat.S_IMODE(path.stat().st_mode) == 0o600 or sys.platform == "win32"
    assert [one.name for one in tmp_path.iterdir()] == ["n.sqlite.secret"]


def test_links_of_another_secret_are_counted_until_new_ones_are_shown(notebook: Any) -> None:
    session = scene(notebook).smelling()
    assert doors.strange_links(notebook, SECRET) == 0  # none were made yet
    old = doors.links(notebook, SECRET, session.id)
    assert doors.strange_links(notebook, SECRET) == 0
    other = SECRET[::-1]
    assert doors.strange_links(notebook, other) == len(old) > 1
    first = next(iter(old))
    assert doors.check_link(notebook, old[first]).id == first  # as the sentence at the start says
    new = doors.links(notebook, other, session.id)
    assert doors.strange_links(notebook, other) == 0
    with pytest.raises(Refused):
        doors.check_link(notebook, old[first])
    assert doors.check_link(notebook, new[first]).id == first
    bench.close(notebook, session.id)
    assert doors.strange_links(notebook, SECRET) == 0  # nobody can answer through them


def test_keys_of_different_purposes_differ() -> None:
    assert doors.derive(SECRET, "ballot link") != doors.derive(SECRET, "framework cookie") != SECRET
