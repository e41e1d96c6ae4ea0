"""Who may come in: the conductor's passphrase, the panelists' links, and the visits both begin.

A cookie holds a random visit token and nothing else; role, ballot, expiry and revocation are looked up in the store,
which keeps hashes only. A panelist's token is an HMAC of the ballot and its issue number under the server secret, so
it can be shown again without being kept; raising the issue number revokes it.
"""

from __future__ import annotations

import hashlib
import hmac
import os
import secrets
import threading
from base64 import urlsafe_b64encode
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from evaluation.errors import ArgumentError, Refused, StateError, StoreError
from evaluation.ground import checks
from evaluation.sessions import Ballot
from evaluation.store.kept_doors import Visit

if TYPE_CHECKING:
    from evaluation.store import Notebook

SHORTEST: Final = 8
LONGEST: Final = 200
CONDUCTOR: Final = "conductor"
BALLOT: Final = "ballot"
NOBODY: Final = "none"
KNOWN: Final = "known"  # a browser somebody signed in with before: it is nobody, and has tries of its own
HOUR: Final = 3_600_000
CONDUCTOR_VISIT: Final = 12 * HOUR
BALLOT_VISIT: Final = 7 * 24 * HOUR
KNOWN_FOR: Final = 400 * 24 * HOUR  # as long as browsers keep a cookie
TOKEN_BYTES: Final = 20  # 160 bits: beyond guessing, and short enough for a small QR code
SECRET_BYTES: Final = 32
SECRET_VARIABLE: Final = "MOUILLETTE_SECRET"
ANSWERING: Final = ("sealed", "smelling")

# Failures allowed within each span (milliseconds) before one has to wait: addresses cannot be told apart behind a
# proxy, so all strangers share one count a door. A browser that was let in before has a count of its own, and its
# failures count for strangers as well: whoever has its cookie guesses no faster for it. Nothing is counted while a
# door is shut, so it always opens again.
SLOW_DOWN: Final = ((60_000, 5, "a minute"), (600_000, 10, "ten minutes"), (HOUR, 30, "an hour"))

_LASTS: Final = {CONDUCTOR: CONDUCTOR_VISIT, BALLOT: BALLOT_VISIT, KNOWN: KNOWN_FOR}
WAIT: Final = (
    "Too many wrong attempts: wait {}, then try again; whoever sits at the computer Mouillette runs on comes in at "
    "once with python -m evaluation passphrase."
)

_HASHER: Final = PasswordHasher()
_ONE_AT_A_TIME: Final = threading.Lock()  # hashing costs memory on purpose; nobody may order fifty at once


@dataclass(frozen=True, slots=True)
class Visitor:
    """Who is there: "conductor", "ballot" (with its id) or "none"."""

    role: str
    ballot_id: str | None = None


NO_VISITOR: Final = Visitor(NOBODY)


# --- the conductor's passphrase ---------------------------------------------------------------------------------


def has_passphrase(nb: Notebook) -> bool:
    """True once a passphrase has been chosen."""
    with nb.reading() as tx:
        return tx.doors.passphrase() is not None


def set_passphrase(nb: Notebook, text: str) -> None:
    """Keep a new passphrase and end every visit begun with the old one."""
    hashed = hashed_passphrase(text)
    with nb.writing() as tx:
        replace_passphrase(tx, hashed)


def replace_passphrase(tx: Any, hashed: str) -> None:
    """Keep a passphrase by its hash, in a transaction that is open, and end the visits of the conductor."""
    tx.doors.set_passphrase(hashed)
    tx.doors.end_visits(CONDUCTOR, None)


def hashed_passphrase(text: str) -> str:
    """What is kept of a passphrase; ArgumentError for one that is too short or too long."""
    wanted = _acceptable(text)
    with _ONE_AT_A_TIME:
        return _HASHER.hash(wanted)


def set_first_passphrase(nb: Notebook, text: str) -> str:
    """Keep the passphrase if there is none yet, and begin a visit; returns the cookie's token."""
    hashed = hashed_passphrase(text)
    with nb.writing() as tx:
        tx.doors.set_first_passphrase(hashed)
        return begin_visit(nb, tx, CONDUCTOR, None)


def sign_in(nb: Notebook, text: str, known: str | None = None) -> str:
    """Begin a conductor's visit; returns the cookie's token. Refused for a wrong passphrase or too many of them.

    ``known`` is the cookie of :func:`remember`: a browser that has one is not kept waiting by what strangers do.
    """
    check_passphrase(nb, text, known)
    with nb.writing() as tx:
        return begin_visit(nb, tx, CONDUCTOR, None)


def check_passphrase(nb: Notebook, text: str, cookie: str | None) -> None:
    """Refused unless this is the passphrase; ``cookie`` of a visit in force gives a count of its own."""
    own = _own_door(nb, cookie)
    strangers = () if own == CONDUCTOR else (CONDUCTOR,)
    attempt(nb, own, lambda: _right_passphrase(nb, text), "This is not the passphrase.", strangers)


def _own_door(nb: Notebook, cookie: str | None) -> str:
    with nb.reading() as tx:
        visit = _in_force(tx, cookie)
    return CONDUCTOR if visit is None or visit.role == BALLOT else f"{CONDUCTOR} {visit.token_hash}"


def attempt(nb: Notebook, door: str, right: Any, wrong: str, also: tuple[str, ...] = ()) -> None:
    """Try a door: ``right()`` says whether the key fits. A shut door is not tried at all.

    It counts as failed until it is known to fit, so that no two processes try at once what one of them may. A failure
    is noted at the doors ``also`` named, which need not be open.
    """
    with _ONE_AT_A_TIME:
        _follow_clock(nb, door)
        with nb.reading() as tx:
            _check_open(nb, tx, door)
        with nb.writing() as tx:
            tx.doors.hold_attempts()
            _check_open(nb, tx, door)
            noted = [tx.doors.note_attempt(one, False) for one in (door, *also)]
        fits = bool(right())
        if fits:
            with nb.writing() as tx:
                tx.doors.mend_attempts(noted)
    if not fits:
        raise Refused(wrong)


def _follow_clock(nb: Notebook, door: str) -> None:
    """A clock set back takes the attempts with it: the newest was just now, and no wait is longer than it was."""
    with nb.reading() as tx:
        if not _ahead(nb, tx.doors.newest_attempt(door)):
            return
    with nb.writing() as tx:
        tx.doors.hold_attempts()
        ahead = _ahead(nb, tx.doors.newest_attempt())
        if ahead:  # nobody was faster
            tx.doors.move_attempts_back(ahead)


def _ahead(nb: Notebook, newest: int | None) -> int:
    return 0 if newest is None else max(0, newest - nb.clock.now())


def _check_open(nb: Notebook, tx: Any, door: str) -> None:
    now = nb.clock.now()
    for span, allowed, words in reversed(SLOW_DOWN):
        if tx.doors.failures(door, now - span) >= allowed:
            raise Refused(WAIT.format(words))


def _right_passphrase(nb: Notebook, text: str) -> bool:
    with nb.reading() as tx:
        kept = tx.doors.passphrase()
    if kept is None or len(text) > LONGEST:
        return False
    try:
        _HASHER.verify(kept, text)
    except (VerificationError, InvalidHashError):
        return False
    if _HASHER.check_needs_rehash(kept):
        _rehash(nb, kept, text)
    return True


def _rehash(nb: Notebook, kept: str, text: str) -> None:
    hashed = _HASHER.hash(text)
    with nb.writing() as tx:
        if tx.doors.passphrase() == kept:
            tx.doors.set_passphrase(hashed)


def _acceptable(text: str) -> str:
    if not isinstance(text, str) or len(text.strip()) < SHORTEST:
        raise ArgumentError(
            f"The passphrase must have at least {SHORTEST} characters; a few words are easiest to keep."
        )
    if len(text) > LONGEST:
        raise ArgumentError(f"The passphrase may have at most {LONGEST} characters.")
    return text


# --- visits --------------------------------------------------------------------------------------------------------


def who(nb: Notebook, cookie: str | None) -> Visitor:
    """The visitor behind a cookie, as the store knows it at this moment."""
    if not cookie:
        return NO_VISITOR
    with nb.reading() as tx:
        return who_in(tx, cookie)


def who_in(tx: Any, cookie: str | None) -> Visitor:
    """The same inside a transaction of the caller, who reads there what this visitor may see."""
    visit = _in_force(tx, cookie)
    return NO_VISITOR if visit is None or visit.role == KNOWN else Visitor(visit.role, visit.ballot_id)


def _in_force(tx: Any, cookie: str | None) -> Visit | None:
    visit: Visit | None = tx.doors.visit(token_hash(cookie)) if cookie else None
    ended = visit is None or visit.ended_at is not None or visit.expires_at <= tx.clock.now()
    return None if ended else visit


def remember(nb: Notebook, known: str | None) -> str:
    """A cookie by which a browser that was let in just now is known again; it opens nothing.

    The one it has already stays; where it has none, or one that is not known any more, it gets a new one.
    """
    with nb.reading() as tx:
        visit = _in_force(tx, known)
    if known and visit is not None and visit.role == KNOWN:
        return known
    with nb.writing() as tx:
        return begin_visit(nb, tx, KNOWN, None)


def sign_out(nb: Notebook, cookie: str | None) -> None:
    """End the visit behind a cookie; nothing happens where there is none."""
    if cookie:
        with nb.writing() as tx:
            tx.doors.end_visit(token_hash(cookie))


def begin_visit(nb: Notebook, tx: Any, role: str, ballot_id: str | None) -> str:
    """Let a browser in, in a transaction that is open; returns the cookie's token."""
    token = secrets.token_urlsafe(SECRET_BYTES)
    now = nb.clock.now()
    tx.doors.begin_visit(Visit(token_hash(token), role, ballot_id, now, now + _LASTS[role], None))
    return token


# --- panelists' links --------------------------------------------------------------------------------------------


def token_for(secret: bytes, ballot_id: str, issue: int) -> str:
    """The token of a ballot's link: the same each time it is asked for, until the issue number is raised."""
    checks.whole("issue", issue, 1)
    mac = hmac.digest(derive(secret, "ballot link"), f"{ballot_id}:{issue}".encode(), "sha256")
    return urlsafe_b64encode(mac[:TOKEN_BYTES]).rstrip(b"=").decode()


def links(nb: Notebook, secret: bytes, session_id: str) -> dict[str, str]:
    """Tokens of all ballots of a session, by ballot id; the store is told the hashes it does not know yet."""
    with nb.reading() as tx:
        _check_panel(tx, session_id)
        ballots = tx.ballots.ballots(session_id)
        tokens = {one.id: token_for(secret, one.id, one.issue) for one in ballots}
        unknown = [one for one in ballots if tx.ballots.by_token(token_hash(tokens[one.id])) is None]
    if unknown:
        with nb.writing() as tx:
            for one in unknown:
                tx.ballots.set_token(one.id, one.issue, token_hash(tokens[one.id]))
    return tokens


def renew_link(nb: Notebook, secret: bytes, ballot_id: str) -> str:
    """A new link for a ballot; the old one and every visit begun with it end here."""
    with nb.writing() as tx:
        ballot = tx.ballots.ballot(ballot_id)
        _check_panel(tx, ballot.session_id)
        issue = ballot.issue + 1
        token = token_for(secret, ballot_id, issue)
        tx.ballots.set_token(ballot_id, issue, token_hash(token))
        tx.doors.end_visits(None, ballot_id)
    return token


def strange_links(nb: Notebook, secret: bytes, session_id: str | None = None) -> int:
    """How many links that can still be answered through were made with another secret: it was lost or exchanged.

    They go on opening their ballots until :func:`links` shows new ones in their place.
    """
    with nb.reading() as tx:
        linked = tx.ballots.linked(ANSWERING, session_id)
    return sum(token_hash(token_for(secret, ballot_id, issue)) != kept for ballot_id, issue, kept in linked)


def _check_panel(tx: Any, session_id: str) -> None:
    """A link would let answers in that are not given to a set on the table."""
    if tx.sittings.session(session_id).plan.solo:
        raise StateError("A session smelt alone has no links: it is led, and answered, on the page Alone.")


def join(nb: Notebook, token: str) -> tuple[str, Ballot]:
    """Begin a visit to the ballot a link names; returns the cookie's token and the ballot."""
    with nb.writing() as tx:
        tx.ballots.hold_link(token_hash(token))
        ballot = _invited(tx, token)
        return begin_visit(nb, tx, BALLOT, ballot.id), ballot


def check_link(nb: Notebook, token: str) -> Ballot:
    """The ballot a link names, without beginning a visit."""
    with nb.reading() as tx:
        return _invited(tx, token)


def _invited(tx: Any, token: str) -> Ballot:
    found: Ballot | None = tx.ballots.by_token(token_hash(token)) if 0 < len(token) <= LONGEST else None
    if found is None:
        raise Refused("This link is not valid, or no longer: ask for a new one.")
    state = tx.sittings.session(found.session_id).state
    if state not in ANSWERING:
        ended = "was ended early" if state == "void" else "is closed"
        raise StateError(f"This session {ended}: its ballots take no more answers.")
    if found.finished_at is not None:
        raise StateError("This ballot is finished: thank you.")
    if found.panelist_id is None:
        raise StateError("Nobody has been put on this seat yet: ask the person who runs the session.")
    return found


# --- the server secret ---------------------------------------------------------------------------------------------


def server_secret(where: str | Path | None) -> bytes:
    """The 32 bytes all tokens rest on: the environment's, else of the file beside the database, else drawn now."""
    given = os.environ.get(SECRET_VARIABLE)
    if given:
        return _given_secret(given)
    if where is None:
        return secrets.token_bytes(SECRET_BYTES)
    return _kept_secret(_beside(str(where)))


def known_secret(where: str | Path | None) -> bytes | None:
    """The secret the app would use at this place if one is there already; none is drawn."""
    given = os.environ.get(SECRET_VARIABLE)
    if given:
        return _given_secret(given)
    if where is None or "://" in str(where).removeprefix("sqlite:///"):
        return None
    path = _beside(str(where))
    return _read_secret(path) if path.exists() and path.stat().st_size else None


def lay_secret(where: str | Path, secret: bytes) -> bool:
    """Lay a secret beside a file that has none; False for a database server, which has no "beside"."""
    if "://" in str(where).removeprefix("sqlite:///"):
        return False
    _write_secret(_beside(str(where)), secret)
    return True


def derive(secret: bytes, purpose: str) -> bytes:
    """A key for one purpose, so that no two uses of the secret can stand in for each other."""
    return hmac.digest(secret, f"mouillette 1 {purpose}".encode(), "sha256")


def token_hash(token: str) -> str:
    """What the store keeps of a token."""
    return hashlib.sha256(token.encode()).hexdigest()


def _given_secret(text: str) -> bytes:
    try:
        secret = bytes.fromhex(text.strip())
    except ValueError:
        secret = b""
    if len(secret) < SECRET_BYTES:
        raise StoreError(f"{SECRET_VARIABLE} must be at least {2 * SECRET_BYTES} hexadecimal digits.")
    return secret


def _beside(where: str) -> Path:
    """The secret's file, beside a database file; a database server has no "beside"."""
    path = where.removeprefix("sqlite:///")
    if "://" in path:
        raise StoreError(
            f"With a database server the secret comes from the environment: set {SECRET_VARIABLE} to "
            f"{2 * SECRET_BYTES} hexadecimal digits, the same for every process."
        )
    return Path(path + ".secret")


def _kept_secret(path: Path) -> bytes:
    if not path.exists():
        with suppress(FileExistsError):  # whoever was faster drew it
            _write_secret(path, secrets.token_bytes(SECRET_BYTES))
    elif not path.stat().st_size:
        _mend(path)
    return _read_secret(path)


def _mend(path: Path) -> None:
    """Fill an empty file: somebody was cut off at the first write, so nothing was made with it.

    Of several who come at once the first to name its draw wins, and the others lay the same.
    """
    first = path.with_name(f"{path.name}.first")
    with suppress(FileExistsError):
        _write_secret(first, secrets.token_bytes(SECRET_BYTES))
    with suppress(FileNotFoundError):  # it was laid meanwhile
        drawn = first.read_bytes()
        if not path.stat().st_size:  # looked at after the reading: a draw named too late is never laid
            with _finished(path, drawn) as part:
                os.replace(part, path)
    first.unlink(missing_ok=True)


def _write_secret(path: Path, secret: bytes) -> None:
    """A new file of its owner only, whole or not at all; FileExistsError where there is one."""
    with _finished(path, secret) as part:
        _name(part, path)


@contextmanager
def _finished(path: Path, secret: bytes) -> Iterator[Path]:
    """A whole file beside ``path`` that waits for its name."""
    part = path.with_name(f"{path.name}.{secrets.token_hex(4)}.part")
    try:
        with os.fdopen(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
            file.write(secret)
            file.flush()
            os.fsync(file.fileno())
        yield part
    except FileExistsError:
        raise  # whoever calls reads that one
    except OSError as error:
        raise StoreError(f"The secret beside the database cannot be written: {path} ({error.strerror}).") from error
    finally:
        part.unlink(missing_ok=True)


def _name(part: Path, path: Path) -> None:
    """Give a finished file its name, never taking one that is taken."""
    try:
        os.link(part, path)  # of two who come at once the second is refused
    except FileExistsError:
        raise
    except OSError:  # a file system without hard links
        if path.exists():
            raise FileExistsError(path) from None
        os.rename(part, path)


def _read_secret(path: Path) -> bytes:
    try:
        path.chmod(0o600)  # a copy from elsewhere may have come with wider rights
        secret = path.read_bytes()
    except OSError as error:
        raise StoreError(f"The secret beside the database cannot be read: {path} ({error.strerror}).") from error
    if len(secret) < SECRET_BYTES:
        raise StoreError(
            f"The secret beside the database is damaged: {path}. Put the right one back, or move it away: a new one is "
            "then made, and links must be given out anew."
        )
    return secret
