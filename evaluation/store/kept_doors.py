"""Who may come in: passphrase, visits of browsers, failed attempts, and the settings of the house."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Final

from sqlalchemy import delete, func, insert, select, update

from evaluation.errors import ArgumentError, Refused
from evaluation.ground import checks
from evaluation.store.desk import Desk, refused_as, wanting
from evaluation.store.rows import attempts, settings, visits
from evaluation.store.translate import flat

ROLES: Final = ("conductor", "ballot", "known")
_VISIT: Final = wanting(visits.c.token_hash)  # asked at the top of every run
_PASSPHRASE: Final = "passphrase hash"
_LET_IN: Final = "let-in code"
_OWN_VERBS: Final = {_PASSPHRASE: "the passphrase", _LET_IN: "the code that lets in"}


@dataclass(frozen=True, slots=True)
class Visit:
    """One browser let in; the cookie's token is known by its hash only. "known": it was let in once, and is not now."""

    token_hash: str
    role: str
    ballot_id: str | None
    began_at: int
    expires_at: int
    ended_at: int | None = None

    def __post_init__(self) -> None:
        checks.choice("role", self.role, ROLES)
        if (self.role == "ballot") != (self.ballot_id is not None):
            raise ArgumentError("ballot must be named for the role ballot, and only for it.")


class Doors:
    """Verbs on visits, attempts and settings."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def passphrase(self) -> str | None:
        """The hash of the conductor's passphrase, None until one is chosen."""
        return self._value(_PASSPHRASE)

    def set_passphrase(self, hashed: str) -> None:
        """Keep this hash in place of the one before; visits begun with that one are for the caller to end."""
        self._put(_PASSPHRASE, hashed)

    def set_first_passphrase(self, hashed: str) -> None:
        """Keep the hash only if there is none: of two who choose at once, the name's uniqueness refuses the second."""
        with refused_as(Refused("A passphrase has been chosen already: sign in with it.")):
            self._desk.add(settings, {"name": _PASSPHRASE, "value": hashed})

    def setting(self, name: str) -> str | None:
        """A setting of the house, None where it was never set; the passphrase is refused here."""
        return self._value(_public(name))

    def set_setting(self, name: str, value: str) -> None:
        """Keep a setting of the house; the passphrase is refused here."""
        self._put(_public(name), value)

    def set_let_in(self, value: str) -> None:
        """Keep what is known of the code a command printed, in place of one before."""
        self._put(_LET_IN, value)

    def let_in(self) -> str | None:
        """What :meth:`set_let_in` kept, None where no code waits to be used."""
        return self._value(_LET_IN)

    def take_let_in(self, value: str) -> bool:
        """Use up what is kept, if it is ``value``: of two who come with one code the second is told False."""
        kept = delete(settings).where(settings.c.name == _LET_IN, settings.c.value == value)
        return self._desk.change(kept) == 1

    def _value(self, name: str) -> str | None:
        row = self._desk.maybe(select(settings.c.value).where(settings.c.name == name))
        return None if row is None else str(row.value)

    def _put(self, name: str, value: str) -> None:
        self._desk.change(delete(settings).where(settings.c.name == name))
        self._desk.change(insert(settings).values(name=name, value=value))

    def begin_visit(self, visit: Visit) -> None:
        """Let a browser in."""
        self._desk.add(visits, flat(visit))

    def visit(self, token_hash: str) -> Visit | None:
        """The visit as stored; whether it has expired or ended is for the caller to see."""
        row = self._desk.maybe(_VISIT, token_hash=token_hash)
        return None if row is None else Visit(**row._mapping)

    def end_visit(self, token_hash: str) -> None:
        """End this visit now; one ended before keeps its time, and an unknown one changes nothing."""
        current = update(visits).where(visits.c.token_hash == token_hash, visits.c.ended_at.is_(None))
        self._desk.change(current.values(ended_at=self._desk.now()))

    def end_visits(self, role: str | None = None, ballot_id: str | None = None) -> None:
        """End every visit of a role or to a ballot; None means any."""
        current = update(visits).where(visits.c.ended_at.is_(None))
        if role is not None:
            current = current.where(visits.c.role == role)
        if ballot_id is not None:
            current = current.where(visits.c.ballot_id == ballot_id)
        self._desk.change(current.values(ended_at=self._desk.now()))

    def hold_attempts(self) -> None:
        """On a server nobody else notes an attempt until this transaction ends; a file has one writer anyway."""
        if self._desk.connection.dialect.name == "postgresql":
            self._desk.connection.exec_driver_sql(f"LOCK TABLE {attempts.name} IN EXCLUSIVE MODE")

    def note_attempt(self, door: str, ok: bool) -> int:
        """Write down that somebody tried a door, and whether it opened; returns the number of the line."""
        row = {"door": door, "ok": ok, "at": self._desk.now()}
        noted = self._desk.connection.execute(insert(attempts).values(row).returning(attempts.c.id))
        return int(noted.scalar_one())

    def mend_attempts(self, numbers: Collection[int]) -> None:
        """These attempts opened their door after all."""
        self._desk.change(update(attempts).where(attempts.c.id.in_(list(numbers))).values(ok=True))

    def newest_attempt(self, door: str | None = None) -> int | None:
        """The greatest instant an attempt was noted at, None where there is none; at any door unless one is named."""
        query = select(func.max(attempts.c.at).label("at"))
        at = self._desk.only_row(query if door is None else query.where(attempts.c.door == door), "attempt").at
        return None if at is None else int(at)

    def move_attempts_back(self, milliseconds: int) -> None:
        """Note every attempt as so much earlier: what is between them stays."""
        self._desk.change(update(attempts).values(at=attempts.c.at - milliseconds))

    def failures(self, door: str, since: int) -> int:
        """Failed attempts at ``door`` from instant ``since`` on."""
        query = select(func.count().label("failed")).where(
            attempts.c.door == door, ~attempts.c.ok, attempts.c.at >= since
        )
        return int(self._desk.only_row(query, "attempt").failed)


def _public(name: str) -> str:
    if name in _OWN_VERBS:
        raise ArgumentError(f"name must not be that of {_OWN_VERBS[name]}: it has its own verbs.")
    return name
