"""Two processes at one door: on a database server nothing but the database puts them in order."""

from __future__ import annotations

import threading
from contextlib import nullcontext
from typing import Any

import pytest

from evaluation.actions import doors
from evaluation.clock import SystemClock
from evaluation.errors import Refused
from evaluation.store import Notebook
from tests.store.test_concurrency import at_once

SECRET = bytes(range(32))
pytestmark = pytest.mark.usefixtures("patient")


def test_of_several_who_choose_the_first_passphrase_exactly_one_does(lasting: str) -> None:
    notebooks = [Notebook.open(lasting, SystemClock()) for _ in range(4)]

    def choose(number: int) -> None:
        with notebooks[number].writing() as tx:
            tx.doors.set_first_passphrase(f"hash {number}")

    refused = at_once([lambda n=n: choose(n) for n in range(4)])  # type: ignore[misc]
    winners = [number for number, one in enumerate(refused) if one is None]
    with notebooks[0].reading() as tx:
        assert [f"hash {number}" for number in winners] == [tx.doors.passphrase()]
    assert [type(one) for one in refused if one is not None] == [Refused] * 3
    for one in notebooks:
        one.close()


def test_a_link_renewed_while_somebody_comes_in_by_it_ends_that_visit_too(
    lasting: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The renewal comes at the worst moment: the old link was found good, its visit is not stored yet."""
    from tests.scenes import ballots, scene

    notebook, other = (Notebook.open(lasting, SystemClock()) for _ in range(2))
    session = scene(notebook).smelling()
    ballot = ballots(notebook, session.id)[0]
    token = doors.links(notebook, SECRET, session.id)[ballot.id]
    renewing = threading.Thread(target=doors.renew_link, args=(other, SECRET, ballot.id))
    begin = doors.begin_visit

    def after_a_renewal_began(*given: Any) -> str:
        renewing.start()
        renewing.join(0.5)  # it ends within this time unless it has to wait for us
        return begin(*given)

    monkeypatch.setattr(doors, "begin_visit", after_a_renewal_began)
    cookie, _ = doors.join(notebook, token)
    renewing.join(120)
    assert not renewing.is_alive()
    assert doors.who(notebook, cookie).role == doors.NOBODY
    notebook.close()
    other.close()


def test_of_many_who_guess_at_once_no_more_try_than_one_after_the_other(
    lasting: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Processes know nothing of each other's locks; each looked at the count before any of them had failed."""
    notebooks = [Notebook.open(lasting, SystemClock()) for _ in range(8)]
    tried: list[int] = []
    together, mine = threading.Barrier(8, timeout=60), threading.local()
    look = doors._check_open

    def looking(notebook: Notebook, tx: Any, door: str) -> None:
        look(notebook, tx, door)
        if not hasattr(mine, "looked"):
            mine.looked = True
            together.wait()

    def wrong(number: int) -> bool:
        tried.append(number)
        return False

    monkeypatch.setattr(doors, "_ONE_AT_A_TIME", nullcontext())
    monkeypatch.setattr(doors, "_check_open", looking)
    guesses = [
        lambda n=n: doors.attempt(notebooks[n], doors.CONDUCTOR, lambda: wrong(n), "no")  # type: ignore[misc]
        for n in range(8)
    ]
    refused = at_once(guesses)
    assert len(tried) == 5
    assert [type(one) for one in refused] == [Refused] * 8
    for one in notebooks:
        one.close()
