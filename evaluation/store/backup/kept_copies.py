"""Where the copies lie that the app makes of its notebook, what they are called, and how many are kept.

Beside a file; for a database server, which has no "beside", in this user's own data folder on this machine.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path
from typing import Final

from sqlalchemy import make_url

from evaluation.ground.places import data_folder

DAILY: Final = "daily"
SESSION: Final = "session"
BEFORE: Final = "before"
WHY: Final = {
    DAILY: "the daily one",
    SESSION: "made after a session ended or a backup came back",
    BEFORE: "made before this program changed the form of the notebook",
}
KEPT: Final = 10  # of each kind, the newest
HOUR: Final = 3_600_000
COMMAND: Final = "python -m evaluation restore"
_NAME: Final = re.compile(r"(\d{8}T\d{6})(\d{3})Z-(daily|session|before)\.zip")
_PART: Final = re.compile(rf"({_NAME.pattern})\.[0-9a-f]+\.part")
_SPELT: Final = "%Y%m%dT%H%M%S"


@dataclass(frozen=True, slots=True)
class Copy:
    """One copy: where it lies, of which instant it is, and why it was made."""

    file: Path
    at: int
    why: str

    @property
    def named(self) -> str:
        """Where it lies and when it was made."""
        return f"{self.file}, made {datetime.fromtimestamp(self.at // 1000, UTC):%Y-%m-%d %H:%M} UTC"


def folder(where: str | Path) -> Path:
    """Where the copies of a file, or of the database of a URL, lie."""
    if "://" not in str(where):
        return Path(f"{where}.copies")
    url = make_url(str(where))
    named = f"{url.host}:{url.port}/{url.database}?{sorted(url.query.items())}"  # whoever comes in, it is one database
    return data_folder() / f"{url.database}-{sha256(named.encode()).hexdigest()[:8]}.copies"


def copies(where: str | Path) -> tuple[Copy, ...]:
    """The copies of a notebook that are there, newest first."""
    try:
        found = [one for path in folder(where).iterdir() if (one := _copy(path, path.name))]
    except OSError:
        return ()
    return tuple(sorted(found, key=lambda one: one.at, reverse=True))


def _copy(path: Path, spelt: str) -> Copy | None:
    name = _NAME.fullmatch(spelt)
    if name is None:
        return None
    try:
        second = datetime.strptime(name[1], _SPELT).replace(tzinfo=UTC)
    except ValueError:
        return None
    return Copy(path, int(second.timestamp()) * 1000 + int(name[2]), name[3])


def new_copy(where: str | Path, at: int, why: str) -> Copy:
    """The copy that is to be made; its folder is there afterwards, its owner's only."""
    place = folder(where)
    place.mkdir(mode=0o700, parents=True, exist_ok=True)
    second = datetime.fromtimestamp(at // 1000, UTC)
    return Copy(place / f"{second:{_SPELT}}{at % 1000:03d}Z-{why}.zip", at, why)


def clear_away(where: str | Path, why: str, now: int) -> None:
    """All of a kind but the newest; those of a clock that was ahead neither count nor go."""
    for one in [one for one in copies(where) if one.why == why and one.at <= now][KEPT:]:
        one.file.unlink(missing_ok=True)


def clear_parts(where: str | Path, now: int) -> None:
    """What was cut off while it was written, by a kill or a power cut; what began within the hour may be going on."""
    place = folder(where)
    parts = place.glob("*.part") if place.is_dir() else ()
    for path in parts:
        name = _PART.fullmatch(path.name)
        begun = _copy(path, name[1]) if name else None
        if begun is not None and begun.at <= now - HOUR:
            path.unlink(missing_ok=True)


def how_to_restore(where: str | Path) -> str:
    """Where the newest copy is and how it is brought back, as the end of a sentence about damage."""
    found = copies(where)
    if not found:
        return f"no copy lies in {folder(where)}: restore your newest backup {into(where)}"
    return f"the newest copy is {found[0].named}: restore it {into(where, found[0].file)}"


def into(where: str | Path, file: Path | str = "FILE.zip") -> str:
    """Into what a copy of that place is restored, and by which command, as the end of a sentence."""
    empty = "an empty database" if "://" in str(where) else "a new file"
    return f"into {empty} with {COMMAND} {file} --data NEW_PLACE"
