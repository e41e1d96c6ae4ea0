"""Words of the ballot: what each method is called, what is asked, how options are shown. Imports nothing heavy."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from evaluation.kinds import Method
from evaluation.sessions import NO_PREFERENCE, OVERALL
from evaluation.values.scales import scale_of
from evaluation.wording.of_kinds import WORDS

# --- methods --------------------------------------------------------------------------------------------------


def method_name(method: Method) -> str:
    """The name of a method as the screens write it."""
    return WORDS.of(method).name


def method_sentence(method: Method) -> str:
    """What a panelist gets and is asked, in one sentence."""
    return WORDS.of(method).told


def test_name(method: Method) -> str:
    """One test, as a sentence names it: "a triangle"."""
    words = WORDS.of(method)
    return words.one or f"a {words.name.lower()}"


def sets_name(method: Method) -> str:
    """Several sets of a method, as a sentence names them: "triangles"."""
    return WORDS.of(method).many


# --- ballot ---------------------------------------------------------------------------------------------------

_ASKED: Final = MappingProxyType(
    {
        "nearer": ("Which one is nearer to the brief?", ""),
        "sure": ("How sure are you?", ""),
        OVERALL: ("All in all, which do you like better?", "Think of every time you smelt them."),
        "wear": ("Would you wear {subject}?", ""),
        "strength": ("How strong do you find {subject}?", ""),
        "overheard": ("Did you hear or see somebody else's answer?", "Remarks about what is smelt count too."),
        "recognised": (
            "Did you recognise one by sight, touch or wetness?",
            "Also yes if you knew a strip from dipping it. Such sets are counted apart.",
        ),
        "ranking": (
            "Put them in the order you like them",
            "Tap the one you like best, then the next best, to the last.",
        ),
        "remark": ("Anything to add?", "You may leave this empty."),
    }
)
_NONE: Final[Mapping[str, str]] = MappingProxyType({"nearer": "neither"})


def ballot_question(method: Method, name: str, descriptor: str = "") -> tuple[str, str]:
    """What a ballot asks, and the line below it ("" for none), as plain text.

    Names are those of ``sessions.Question``: choice, nearer, sure, overall, overheard, remark, "wear 482",
    "strength 482 155", "ranking", "rate woody".
    """
    if name.startswith(_RATE):
        return rating_title(name.removeprefix(_RATE)), ""
    if name == "choice":
        words = WORDS.of(method)
        return words.question.format(descriptor=descriptor), words.below
    kind, _, subject = name.partition(" ")
    asked, below = _ASKED[kind]
    return asked.format(subject=_listed(subject)), below


_RATE: Final = "rate "
_RATED: Final = MappingProxyType(
    {
        "strength": ("How strong is it?", "no smell", "very strong"),
        "liking": ("How much do you like it?", "not at all", "very much"),
    }
)
_ENDS: Final = ("none", "very")


def rating_title(name: str) -> str:
    """What stands over a scale: the descriptor itself, or the question of strength or liking."""
    return _RATED[name][0] if name in _RATED else name


def rating_ends(name: str, scale: str, low: str = "", high: str = "") -> tuple[str, str]:
    """The words at the ends of a scale; those of the descriptor first, "" where its scale has none."""
    usual = _RATED[name][1:] if name in _RATED else _ENDS if scale_of(scale).ends else ("", "")
    return low or usual[0], high or usual[1]


def option_label(name: str, value: str) -> str:
    """An option as it is read: codes stay codes, groups of codes are listed, pairs are told apart."""
    if value == NO_PREFERENCE:
        return _NONE.get(name, "no preference")
    if name == OVERALL:
        return _listed(value)
    if name == "ranking":
        return value.replace(">", ", ")
    return value.replace("+", " and ").replace("|", "; ") if name == "choice" else value


def _listed(codes: str) -> str:
    """Codes with commas: "482 155 903" becomes "482, 155 and 903"."""
    *front, last = codes.split(" ")
    return f"{', '.join(front)} and {last}" if front else last
