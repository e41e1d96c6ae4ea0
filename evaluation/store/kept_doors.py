"""Who may come in: passphrase, visits of browsers, failed attempts, and the settings of the house."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from sqlalchemy import delete, func, insert, select, update

from evaluation.errors import ArgumentError, Refused
from evaluation.ground import checks
from evaluation.store.desk import Desk, refused_as
from evaluation.store.rows import attempts, settings, visits
from evaluation.store.translate import flat

ROLES: Final = ("conductor", "ballot")
_PASSPHRASE: Final = "passphrase hash"


@dataclass(frozen=True, slots=True)
class Visit:
    """One browser let in; the cookie's token is known by its hash only."""

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
        row = self._desk.maybe(select(visits).where(visits.c.token_hash == token_hash))
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

    def note_attempt(self, door: str, ok: bool) -> None:
        """Write down that somebody tried a door, and whether it opened."""
        self._desk.add(attempts, {"door": door, "ok": ok, "at": self._desk.now()})

    def failures(self, door: str, since: int) -> int:
        """Failed attempts at ``door`` from instant ``since`` on."""
        query = select(func.count().label("failed")).where(
            attempts.c.door == door, ~attempts.c.ok, attempts.c.at >= since
        )
        return int(self._desk.only_row(query, "attempt").failed)


def _public(name: str) -> str:
    if name == _PASSPHRASE:
        raise ArgumentError("name must not be that of the passphrase: it has its own verbs.")
    return name
