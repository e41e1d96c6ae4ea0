"""Who should not take part, and who stays off skin: the one source that every page, ballot, card and sheet reads.

The two rules differ. On skin each of these keeps a person off (``skin.EXCLUSIONS``, which the gate asks for, and being
unwell on the day, which is asked in person and not kept). On strips nobody is kept away by the program: such a person
does not take part without advice from somebody qualified. All of it is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Final

from evaluation.skin import ALSO_STRIPS, EXCLUSIONS

UNWELL: Final = MappingProxyType({"unwell": "unwell today"})
ON_STRIPS: Final[Mapping[str, str]] = MappingProxyType(
    {
        **{name: EXCLUSIONS[name] for name in ALSO_STRIPS},
        "allergy": "known allergy to what is smelt",
        **UNWELL,
    }
)
ON_SKIN: Final[Mapping[str, str]] = MappingProxyType({**EXCLUSIONS, **UNWELL})
_BEING: Final = frozenset({"pregnancy", "under_age", "unwell"})  # what one is; the others are what one has


def _or(parts: Iterable[str], between: str = ", ") -> str:
    *front, last = parts
    return f"{between.join(front)}{between if between == '; ' else ' '}or {last}"


def _rule(facts: Mapping[str, str], between: str) -> tuple[str, str]:
    """What people have, and what they are."""
    has = [words for name, words in facts.items() if name not in _BEING]
    return _or(has, between), _or(words for name, words in facts.items() if name in _BEING)


def _asked(facts: Mapping[str, str], between: str) -> str:
    """All of it as one question, such as fits a small screen."""
    told = _or(facts.values(), between)
    return f"{told[:1].upper()}{told[1:]}?"


_HAS, _ARE = _rule(ON_STRIPS, ", ")
_HAS_ON_SKIN, _ARE_ON_SKIN = _rule(ON_SKIN, "; ")

# To whoever runs a session, and on the pages about the program.
STRIPS_RULE: Final = (
    f"People with {_HAS}, and anybody {_ARE}, should not take part without advice from somebody qualified."
)
SKIN_RULE: Final = f"Nothing is put on the skin of people with {_HAS_ON_SKIN}, nor of anybody {_ARE_ON_SKIN}."
# To the person who smells.
STRIPS_YOU: Final = (
    f"{_asked(ON_STRIPS, ', ')} Do not take part without advice from somebody qualified: tell the conductor."
)
SKIN_YOU: Final = (
    f"{_asked(ON_SKIN, '; ')} Nothing is put on your skin, and what is there comes off: tell the conductor now."
)
STRIPS_ALONE: Final = f"{_asked(ON_STRIPS, ', ')} Do not smell without advice from somebody qualified."
ASK_BEFORE_STRIPS: Final = f"Ask each person before the first strip, and keep no answer. {STRIPS_RULE}"
ASK_ON_THE_DAY: Final = "Ask again on the day: what was said earlier may have changed."
STOP: Final = "Stop if you feel unwell. You need not give a reason."
FLAMMABLE: Final = "Strips carry ethanol, which is flammable: no flames or sparks, and air the room."
DEFER: Final = "Follow your local rules and your doctor's advice; this page gives none."
DEFER_ON_PAPER: Final = "Follow your local rules and your doctor's advice; this card gives none."
