"""What an opened profile found: strip and skin apart, with all that stands around it and what the brief aims at."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from evaluation.actions import aims
from evaluation.actions.aims import Aims
from evaluation.actions.opened import Context, Findings, context_of, held_of
from evaluation.counting.profiles import ProfileFound, profile_found
from evaluation.counting.questions import Held, on_medium
from evaluation.store import Notebook

KEPT: Final = 4  # opened sessions whose numbers stay in memory


@dataclass(frozen=True, slots=True, eq=False)
class ProfileFindings(Findings[ProfileFound]):
    """Beside what every session has: what its ratings are held against."""

    aims: Aims | None  # what the brief aims at now
    aims_late: bool  # written when this key was open already: not written blind


def profile_findings(notebook: Notebook, session_id: str, *, check_log: bool = True) -> ProfileFindings:
    """What an opened profile found; StillBlind for any other, void included. ``check_log``: see ``context_of``."""
    with notebook.reading() as tx:
        held = held_of(tx, session_id)
        about = context_of(tx, held, session_id, check_log=check_log)
    aimed = aims.targets(notebook, held.plan.brief_id)
    late = aimed is not None and aimed.written_at >= about.opened_at
    return ProfileFindings(about, _found_by_medium(held, about), aimed, late)


# An opened session takes no more answers, so its numbers are what they were: they are computed once for each last hash
# and kept in this process. The key is asked for anew each time, and names are part of what is compared, so that a name
# that was erased is not shown from memory.
_Mark = tuple[str, str, tuple[str, ...], tuple[tuple[str, str], ...]]
_kept: dict[_Mark, tuple[ProfileFound, ...]] = {}


def _found_by_medium(held: Held, about: Context) -> tuple[ProfileFound, ...]:
    mark = (about.session.id, about.last_hash, about.names, tuple(sorted((held.aliases or {}).items())))
    known = _kept.get(mark)
    if known is None:
        known = tuple(profile_found(on_medium(held, medium), about.names) for medium in held.plan.media)
        while len(_kept) >= KEPT:
            _kept.pop(next(iter(_kept)), None)
        _kept[mark] = known
    return known
