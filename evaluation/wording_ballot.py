"""Words of the ballot: what each method is called, what is asked, how options are shown. Imports nothing heavy."""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from evaluation.sessions import NO_PREFERENCE, OVERALL

# --- methods --------------------------------------------------------------------------------------------------

_METHODS: Final = MappingProxyType(
    {
        "triangle": ("Triangle", "Three strips, two of one trial and one of the other: which is the odd one out?"),
        "duo-trio": ("Duo-trio", "A reference strip first, then two more: which of the two is like the reference?"),
        "tetrad": ("Tetrad", "Four strips, two of each trial: sort them into two pairs."),
        "2-afc": ("2-AFC", "Two strips, one of each trial: which shows more of a named descriptor?"),
        "3-afc": ("3-AFC", "Three strips, one of them expected to stand out: which shows most of a named descriptor?"),
        "two-out-of-five": (
            "Two out of five",
            "Five strips, two of one trial and three of the other: which two belong together?",
        ),
        "preference": ("Paired preference", "Two strips, one of each trial: which is liked better?"),
        "profile": ("Profile", "One strip at a time: how much of each descriptor is in it?"),
        "round": ("Round of pairs", "Two strips at a time, pair after pair: which is liked better?"),
        "ranking": ("Ranking", "One strip of each trial: put them in order, the best liked first."),
    }
)


def method_name(method: str) -> str:
    """The name of a method as the screens write it."""
    return _METHODS[method][0]


def method_sentence(method: str) -> str:
    """What a panelist gets and is asked, in one sentence."""
    return _METHODS[method][1]


def test_name(method: str) -> str:
    """One test, as a sentence names it: "a triangle"."""
    return _TESTS.get(method, (f"a {method_name(method).lower()}", ""))[0]


def sets_name(method: str) -> str:
    """Several sets of a method, as a sentence names them: "triangles"."""
    return _TESTS.get(method, ("", "such sets"))[1]


_TESTS: Final = MappingProxyType(
    {
        "triangle": ("a triangle", "triangles"),
        "duo-trio": ("a duo-trio", "duo-trios"),
        "tetrad": ("a tetrad", "tetrads"),
        "2-afc": ("a 2-AFC", "2-AFC pairs"),
        "3-afc": ("a 3-AFC", "3-AFC sets"),
        "two-out-of-five": ("a two-out-of-five", "sets of five"),
    }
)


# --- ballot ---------------------------------------------------------------------------------------------------

GUESS: Final = "If you cannot tell, guess: a guess is a good answer."

# Question, and a line below it
_CHOICES: Final = MappingProxyType(
    {
        "triangle": ("Which one is the odd one out?", f"Two of the three are alike. {GUESS}"),
        "duo-trio": ("Which one is like the reference?", f"The reference comes first on your tray. {GUESS}"),
        "tetrad": ("Which go together?", f"Two and two are alike. {GUESS}"),
        "2-afc": ("Which one is more {descriptor}?", GUESS),
        "3-afc": ("Which one is most {descriptor}?", GUESS),
        "two-out-of-five": ("Which two go together?", f"Two are alike, and so are the other three. {GUESS}"),
        "preference": ("Which one do you like better?", ""),
        "round": ("Which one do you like better?", ""),
    }
)
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


def ballot_question(method: str, name: str, descriptor: str = "") -> tuple[str, str]:
    """What a ballot asks, and the line below it ("" for none), as plain text.

    Names are those of ``sessions.Question``: choice, nearer, sure, overall, overheard, remark, "wear 482",
    "strength 482 155", "ranking", "rate woody".
    """
    if name.startswith(_RATE):
        return rating_title(name.removeprefix(_RATE)), ""
    if name == "choice":
        asked, below = _CHOICES[method]
        return asked.format(descriptor=descriptor), below
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
_ENDS: Final = MappingProxyType({"line": ("none", "very"), "category": ("none", "very")})


def rating_title(name: str) -> str:
    """What stands over a scale: the descriptor itself, or the question of strength or liking."""
    return _RATED[name][0] if name in _RATED else name


def rating_ends(name: str, scale: str, low: str = "", high: str = "") -> tuple[str, str]:
    """The words at the ends of a scale; those of the descriptor first, "" where its scale has none."""
    usual = _RATED[name][1:] if name in _RATED else _ENDS.get(scale, ("", ""))
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


def plain_label(text: str) -> str:
    """Text as the label of a control that reads Markdown: nothing in it formats."""
    return _MARKDOWN.sub(r"\\\1", text)


_MARKDOWN: Final = re.compile(r"([\\`*_{}\[\]()<>#+\-.!|~$:^])")


def _listed(codes: str) -> str:
    """Codes with commas: "482 155 903" becomes "482, 155 and 903"."""
    *front, last = codes.split(" ")
    return f"{', '.join(front)} and {last}" if front else last
