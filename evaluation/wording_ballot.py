"""Words of the ballot: what each method is called, what is asked, how options are shown. Imports nothing heavy."""

from __future__ import annotations

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
    }
)


def method_name(method: str) -> str:
    """The name of a method as the screens write it."""
    return _METHODS[method][0]


def method_sentence(method: str) -> str:
    """What a panelist gets and is asked, in one sentence."""
    return _METHODS[method][1]


# --- ballot ---------------------------------------------------------------------------------------------------

_CHOICES: Final = MappingProxyType(
    {
        "triangle": "Which of the three is the odd one out?",
        "duo-trio": "Which of these two is like the reference, {reference}?",
        "tetrad": "Two and two belong together. Which pairs?",
        "2-afc": "Which one smells more {descriptor}?",
        "3-afc": "Which one smells most {descriptor}?",
        "two-out-of-five": "Two of the five belong together. Which two?",
        "preference": "Which one do you like better?",
    }
)
_ASKED: Final = MappingProxyType(
    {
        "nearer": "Which one is nearer to the brief?",
        "sure": "How sure are you?",
        OVERALL: "Over all the times you smelt them: which do you like better?",
        "wear": "Would you wear {subject}?",
        "strength": "How strong is {subject}?",
        "overheard": "Did you hear or see somebody else's answer, or a remark about the strips?",
        "remark": "Anything to add? (optional)",
    }
)
_OPTIONS: Final[Mapping[str, str]] = MappingProxyType(
    {"choice": "no preference", OVERALL: "no preference", "nearer": "neither is nearer"}
)
_MUST_CHOOSE: Final = " If you cannot tell, guess: a guess is a good answer."


def ballot_question(method: str, name: str, descriptor: str = "", codes: tuple[str, ...] = ()) -> str:
    """What a ballot asks; ``codes`` are the question's, needed to name the reference of a duo-trio.

    Names are those of ``sessions.Question``: choice, nearer, sure, overall, overheard, remark, "wear 482",
    "strength 482 155".
    """
    if name == "choice":
        reference = codes[0] if codes else "the first strip"
        asked = _CHOICES[method].format(descriptor=descriptor, reference=reference)
        return asked if method == "preference" else asked + _MUST_CHOOSE
    kind, _, subject = name.partition(" ")
    return _ASKED[kind].format(subject=_listed(subject))


def option_label(method: str, name: str, option: str) -> str:
    """An option as it is shown: codes stay codes, pairs and groups get blanks a phone can break at."""
    if option == NO_PREFERENCE:
        return _OPTIONS.get(name, option)
    if name == OVERALL:
        return _listed(option)
    if method == "tetrad" and name == "choice":
        return option.replace("+", " and ").replace("|", ", ")
    return option


def _listed(codes: str) -> str:
    """ "482 155 903" → "482, 155 and 903"."""
    *front, last = codes.split(" ")
    return f"{', '.join(front)} and {last}" if front else last
