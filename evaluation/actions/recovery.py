"""The way back in: another passphrase on a page, and from the machine itself, whatever strangers did at the doors.

Whoever can open the notebook's file, or its database, has everything already: so a command there needs no passphrase.
It prints a code by which one browser comes in. The code is beyond guessing within its minutes, so that it needs no
slow-down, and nobody can keep it from working.
"""

from __future__ import annotations

import secrets
from typing import TYPE_CHECKING, Final

from evaluation.actions import doors
from evaluation.actions.doors import CONDUCTOR, KNOWN
from evaluation.errors import Refused

if TYPE_CHECKING:
    from evaluation.store import Notebook

LETTERS: Final = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"  # 32, none to be taken for another
CODE_LETTERS: Final = 12  # 60 bits: a million tries a second for all its minutes find it once in a billion times
CODE_MINUTES: Final = 15
WRONG_CODE: Final = (
    f"This code lets nobody in: it holds once and for {CODE_MINUTES} minutes; run the command again for a new one."
)


def change_passphrase(nb: Notebook, current: str, text: str, cookie: str | None) -> str:
    """Keep another passphrase for whoever knows the one in force; returns the cookie's token of a new visit.

    Every other visit of the conductor ends. ``cookie`` is this browser's, whose tries are counted by themselves.
    """
    hashed = doors.hashed_passphrase(text)
    doors.check_passphrase(nb, current, cookie)
    with nb.writing() as tx:
        doors.replace_passphrase(tx, hashed)
        return doors.begin_visit(nb, tx, CONDUCTOR, None)


def reset_passphrase(nb: Notebook, text: str) -> None:
    """Keep a passphrase in place of any: for whoever sits at the machine, and for nobody else.

    Visits of the conductor end, and browsers known from before are strangers again.
    """
    hashed = doors.hashed_passphrase(text)
    with nb.writing() as tx:
        doors.replace_passphrase(tx, hashed)
        tx.doors.end_visits(KNOWN, None)


def new_code(nb: Notebook) -> str:
    """A code that lets one browser in, in groups of four; one drawn before opens nothing any more."""
    code = "".join(secrets.choice(LETTERS) for _ in range(CODE_LETTERS))
    now = nb.clock.now()
    with nb.writing() as tx:
        tx.doors.set_let_in(f"{doors.token_hash(code)} {now} {now + CODE_MINUTES * 60_000}")
    return "-".join(code[at : at + 4] for at in range(0, CODE_LETTERS, 4))


def enter_with_code(nb: Notebook, typed: str) -> str:
    """Begin a conductor's visit with the code a command printed; returns the cookie's token.

    Blanks, hyphens and small letters do not matter. Tries are not counted: nobody could then keep others waiting.
    """
    code = "".join(letter for letter in typed.upper() if letter.isalnum())
    with nb.reading() as tx:
        kept = tx.doors.let_in()
    if kept is None or not _fits(kept, code, nb.clock.now()):
        raise Refused(WRONG_CODE)
    with nb.writing() as tx:
        if not tx.doors.take_let_in(kept):
            raise Refused(WRONG_CODE)
        return doors.begin_visit(nb, tx, CONDUCTOR, None)


def _fits(kept: str, code: str, now: int) -> bool:
    """Within its minutes, by a clock that was not set back meanwhile."""
    mark, drawn_at, until = kept.split()
    return doors.token_hash(code) == mark and int(drawn_at) <= now < int(until)
