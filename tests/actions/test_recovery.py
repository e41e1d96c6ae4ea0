"""The conductor is never locked out: known browsers, clocks set back, another passphrase, codes from the machine."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from argon2 import PasswordHasher

from evaluation.actions import doors, recovery
from evaluation.clock import SteppedClock
from evaluation.errors import ArgumentError, Refused
from tests.scenes import ballots, scene

PASSPHRASE = "violets in the rain"
OTHER = "moss on the north side"


@pytest.fixture(autouse=True)
def quick_hashes(monkeypatch: pytest.MonkeyPatch) -> None:
    """What a hash costs on purpose is what test_doors.py has."""
    monkeypatch.setattr(doors, "_HASHER", PasswordHasher(time_cost=1, memory_cost=8, parallelism=1))


@pytest.fixture
def cheap(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[str]]:
    """Every passphrase that is really tried, without the time a hash takes on purpose."""
    tried: list[str] = []

    def right(_: Any, text: str) -> bool:
        tried.append(text)
        return text == PASSPHRASE

    monkeypatch.setattr(doors, "_right_passphrase", right)
    monkeypatch.setattr(doors, "hashed_passphrase", lambda text: f"hash of {text}")
    return tried


def guess(notebook: Any, known: str | None = None, text: str = "wrong") -> bool:
    """Whether a wrong passphrase was tried at all."""
    try:
        doors.sign_in(notebook, text, known)
    except Refused as refused:
        return "wait" not in str(refused)
    return True


def guess_for(notebook: Any, clock: SteppedClock, minutes: int, *cookies: str | None, every: int = 20) -> int:
    """How many tries somebody gets who tries ``every`` so many seconds with each of these cookies."""
    tried = 0
    for _ in range(minutes * 60 // every):
        tried += sum(guess(notebook, known) for known in cookies)
        clock.forward(seconds=every)
    return tried


def remembered(notebook: Any) -> str:
    """The cookie of a browser in which the conductor signed in."""
    doors.sign_in(notebook, PASSPHRASE)
    return doors.remember(notebook, None)


def test_a_browser_that_signed_in_before_is_not_shut_out_by_strangers(notebook: Any, clock: SteppedClock) -> None:
    doors.set_passphrase(notebook, PASSPHRASE)
    known = remembered(notebook)
    for _ in range(8):
        guess(notebook)
    with pytest.raises(Refused, match="python -m evaluation passphrase"):
        doors.sign_in(notebook, PASSPHRASE)
    assert doors.who(notebook, doors.sign_in(notebook, PASSPHRASE, known)).role == doors.CONDUCTOR


def test_hours_of_guessing_by_strangers_never_shut_a_known_browser_out(
    notebook: Any, clock: SteppedClock, cheap: list[str]
) -> None:
    known = remembered(notebook)
    for _ in range(8):
        guess_for(notebook, clock, 15, None)
        assert doors.sign_in(notebook, PASSPHRASE, known)


def test_an_invented_cookie_is_a_stranger(notebook: Any, clock: SteppedClock, cheap: list[str]) -> None:
    """With a new one at every try, too: 30 in an hour, as before (5 a minute, 10 in ten minutes)."""
    tried = 0
    for number in range(180):
        tried += guess(notebook, ("", "x", "a" * 5000)[number % 3] + str(number))
        clock.forward(seconds=20)
    assert tried == 30 == len(cheap)


def test_a_known_cookie_makes_guessing_no_faster(notebook: Any, clock: SteppedClock, cheap: list[str]) -> None:
    """30 in an hour with it, and in turns with and without it hardly more: once 30 beyond that, then never again."""
    known = remembered(notebook)
    assert guess_for(notebook, clock, 60, known) == 30
    clock.forward(minutes=61)
    assert guess_for(notebook, clock, 2 * 60, None, known) <= 3 * 30 + 3


def test_a_ballots_cookie_is_a_stranger_too(notebook: Any, cheap: list[str]) -> None:
    session = scene(notebook).smelling()
    token = next(iter(doors.links(notebook, bytes(32), session.id).values()))
    cookie = doors.join(notebook, token)[0]
    assert [guess(notebook, cookie) for _ in range(7)] == [True] * 5 + [False] * 2
    assert not guess(notebook)


def test_a_known_browser_is_nobody_until_it_signs_in(notebook: Any) -> None:
    doors.set_passphrase(notebook, PASSPHRASE)
    known = remembered(notebook)
    assert doors.who(notebook, known) == doors.NO_VISITOR
    assert doors.remember(notebook, known) == known
    assert doors.remember(notebook, "invented") not in ("invented", known)


def test_a_known_browser_is_forgotten_after_400_days(notebook: Any, clock: SteppedClock) -> None:
    known = doors.remember(notebook, None)
    clock.forward(minutes=400 * 24 * 60)
    assert doors.remember(notebook, known) != known


def test_who_waits_in_a_known_browser_waits_for_their_own_tries_alone(
    notebook: Any, clock: SteppedClock, cheap: list[str]
) -> None:
    known, other = remembered(notebook), remembered(notebook)
    assert [guess(notebook, known) for _ in range(6)] == [True] * 5 + [False]
    assert doors.sign_in(notebook, PASSPHRASE, other)
    clock.forward(minutes=1, seconds=1)
    assert doors.sign_in(notebook, PASSPHRASE, known)


# --- clocks ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("back", [1.0, 60.0, 24 * 60.0, 366 * 24 * 60.0])
def test_a_clock_set_back_prolongs_no_wait(notebook: Any, clock: SteppedClock, cheap: list[str], back: float) -> None:
    """Attempts noted while the clock was ahead kept the door shut until it caught up with them: a day, or a year."""
    while guess(notebook):
        clock.forward(seconds=1)
    clock.forward(minutes=-back)
    assert not guess(notebook), "nor does it shorten one"
    clock.forward(minutes=1, seconds=1)
    assert doors.sign_in(notebook, PASSPHRASE)


def test_a_clock_set_back_gives_no_tries_away(notebook: Any, clock: SteppedClock, cheap: list[str]) -> None:
    """Set back every ten minutes by five: within an hour of real time 30 tries, as with a clock that goes on."""
    tried = 0
    for _ in range(6):
        tried += guess_for(notebook, clock, 10, None)
        clock.forward(minutes=-5)
    assert tried == 30


# --- another passphrase ------------------------------------------------------------------------------------------


def test_who_knows_the_passphrase_changes_it(notebook: Any) -> None:
    doors.set_passphrase(notebook, PASSPHRASE)
    here, elsewhere = doors.sign_in(notebook, PASSPHRASE), doors.sign_in(notebook, PASSPHRASE)
    entered = recovery.change_passphrase(notebook, PASSPHRASE, OTHER, here)
    assert [doors.who(notebook, one).role for one in (here, elsewhere, entered)] == ["none", "none", "conductor"]
    assert doors.sign_in(notebook, OTHER)
    with pytest.raises(Refused, match="not the passphrase"):
        doors.sign_in(notebook, PASSPHRASE)


@pytest.mark.parametrize(
    ("current", "wanted", "error"), [("wrong one", OTHER, Refused), (PASSPHRASE, "short", ArgumentError)]
)
def test_else_nothing_is_changed(notebook: Any, current: str, wanted: str, error: type[Exception]) -> None:
    doors.set_passphrase(notebook, PASSPHRASE)
    here = doors.sign_in(notebook, PASSPHRASE)
    with pytest.raises(error):
        recovery.change_passphrase(notebook, current, wanted, here)
    assert doors.who(notebook, here).role == doors.CONDUCTOR
    assert doors.sign_in(notebook, PASSPHRASE)


def test_strangers_cannot_keep_a_signed_in_browser_from_changing_it(notebook: Any, cheap: list[str]) -> None:
    here = doors.sign_in(notebook, PASSPHRASE)
    while guess(notebook):
        pass
    assert recovery.change_passphrase(notebook, PASSPHRASE, OTHER, here)


def test_an_open_browser_does_not_tell_the_passphrase_by_trying(notebook: Any, cheap: list[str]) -> None:
    here = doors.sign_in(notebook, PASSPHRASE)
    for _ in range(5):
        with pytest.raises(Refused, match="not the passphrase"):
            recovery.change_passphrase(notebook, "wrong", OTHER, here)
    with pytest.raises(Refused, match="wait a minute"):
        recovery.change_passphrase(notebook, PASSPHRASE, OTHER, here)


# --- from the machine itself -------------------------------------------------------------------------------------


def shut_for_strangers(notebook: Any) -> None:
    while guess(notebook):
        pass


@pytest.mark.parametrize("spelt", [str, str.lower, lambda code: f" {code.replace('-', ' ')} "])
def test_a_code_lets_one_browser_in_however_shut_the_door_is(
    notebook: Any, cheap: list[str], spelt: Callable[[str], str]
) -> None:
    shut_for_strangers(notebook)
    code = recovery.new_code(notebook)
    assert doors.who(notebook, recovery.enter_with_code(notebook, spelt(code))).role == doors.CONDUCTOR
    with pytest.raises(Refused, match="once"):
        recovery.enter_with_code(notebook, code)


def test_wrong_codes_shut_nobody_out(notebook: Any) -> None:
    code = recovery.new_code(notebook)
    for wrong in ("", "AAAA-AAAA-AAAA", code[:-1], "x" * 4000, *(f"{n:012d}" for n in range(60))):
        with pytest.raises(Refused, match="15 minutes"):
            recovery.enter_with_code(notebook, wrong)
    assert recovery.enter_with_code(notebook, code)


def test_a_code_is_beyond_guessing_within_its_minutes() -> None:
    """A million tries a second, which no server of this kind answers: found once in more than 10^9 codes."""
    space = len(set(recovery.LETTERS)) ** recovery.CODE_LETTERS
    assert math.log2(space) == 60
    assert space / (recovery.CODE_MINUTES * 60 * 10**6) > 10**9


@pytest.mark.parametrize("minutes", [15, -1])
def test_a_code_holds_for_its_minutes_by_a_clock_that_goes_on(notebook: Any, clock: SteppedClock, minutes: int) -> None:
    code = recovery.new_code(notebook)
    clock.forward(minutes=minutes)
    with pytest.raises(Refused):
        recovery.enter_with_code(notebook, code)


def test_a_second_code_takes_the_place_of_the_first(notebook: Any) -> None:
    first, second = recovery.new_code(notebook), recovery.new_code(notebook)
    with pytest.raises(Refused):
        recovery.enter_with_code(notebook, first)
    assert recovery.enter_with_code(notebook, second)


def test_the_store_keeps_no_code(notebook: Any) -> None:
    code = recovery.new_code(notebook)
    with notebook.reading() as tx:
        kept = tx.doors.let_in()
    assert code.replace("-", "") not in kept.upper()


def test_a_reset_ends_visits_and_makes_strangers_of_known_browsers(notebook: Any) -> None:
    doors.set_passphrase(notebook, PASSPHRASE)
    cookie = doors.sign_in(notebook, PASSPHRASE)
    known = doors.remember(notebook, None)
    session = scene(notebook).smelling()
    panelist = doors.join(notebook, next(iter(doors.links(notebook, bytes(32), session.id).values())))[0]
    recovery.reset_passphrase(notebook, OTHER)
    assert doors.who(notebook, cookie) == doors.NO_VISITOR
    assert doors.remember(notebook, known) != known
    assert doors.who(notebook, panelist).ballot_id == ballots(notebook, session.id)[0].id  # people go on answering
    assert doors.sign_in(notebook, OTHER)


def test_a_reset_sets_the_first_passphrase_as_well(notebook: Any) -> None:
    recovery.reset_passphrase(notebook, PASSPHRASE)
    assert doors.sign_in(notebook, PASSPHRASE)
