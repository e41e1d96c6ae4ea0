"""The words of each kind of session, one row a method: names, what is asked, what a report refers to."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from evaluation.kinds import ByKind

GUESS: Final = "If you cannot tell, guess: a guess is a good answer."
_AS_SMELT: Final = "Left to right, as they are smelt."


@dataclass(frozen=True, slots=True, kw_only=True)
class KindWords:
    """How one kind is named and told.

    ``told``: what a panelist gets and is asked, in one sentence. ``one``, ``many``: a test and several sets, as a
    sentence names them. ``question``, ``below``: of a choice on the ballot, and the line below it. ``plan``: what the
    plan page says of a way to tell apart. ``guessing``: how often guessing is right; ``source``: what the test goes
    back to. ``tray``: how the codes of a set lie. ``chose``: how a chosen place is told first, and after that;
    ``place``: in a table.
    """

    name: str
    told: str
    one: str = ""
    many: str = "such sets"
    question: str = ""
    below: str = ""
    plan: str = ""
    guessing: str = ""
    source: str = ""
    tray: str = _AS_SMELT
    chose: tuple[str, str] = ("chose the {} code", "the {}")
    place: str = "{} code"


_THIRD: Final = "guessing 1/3, the same exact rule"
WORDS: Final = ByKind(
    "words",
    {
        "triangle": KindWords(
            name="Triangle",
            told="Three strips, two of one trial and one of the other: which is the odd one out?",
            one="a triangle",
            many="triangles",
            question="Which one is the odd one out?",
            below=f"Two of the three are alike. {GUESS}",
            plan="Three strips, two of them alike: which is the odd one? No word for the difference is needed.",
            guessing="one third",
            source="ISO 4120:2004",
        ),
        "duo-trio": KindWords(
            name="Duo-trio",
            told="A reference strip first, then two more: which of the two is like the reference?",
            one="a duo-trio",
            many="duo-trios",
            question="Which one is like the reference?",
            below=f"The reference comes first on your tray. {GUESS}",
            plan="A reference strip, then two: which of the two matches it? Simple, but needs more answers.",
            guessing="one half",
            source="ISO 10399:2004",
            tray="Left to right; the first strip is the reference and is smelt first.",
            place="{} code (the first is the reference)",
        ),
        "tetrad": KindWords(
            name="Tetrad",
            told="Four strips, two of each trial: sort them into two pairs.",
            one="a tetrad",
            many="tetrads",
            question="Which go together?",
            below=f"Two and two are alike. {GUESS}",
            plan="Four strips, two of each trial: sort them into two pairs.",
            guessing="one third",
            source=_THIRD,
            chose=("put the first code with the {}", "with the {}"),
            place="first code with the {}",
        ),
        "2-afc": KindWords(
            name="2-AFC",
            told="Two strips, one of each trial: which shows more of a named descriptor?",
            one="a 2-AFC",
            many="2-AFC pairs",
            question="Which one is more {descriptor}?",
            below=GUESS,
            plan="Two strips: which has more of a quality you name? The least smelling, and where you know what "
            "changed it takes fewer answers than the triangle.",
            guessing="one half",
            source="ISO 5495:2005",
        ),
        "3-afc": KindWords(
            name="3-AFC",
            told="Three strips, one of them expected to stand out: which shows most of a named descriptor?",
            one="a 3-AFC",
            many="3-AFC sets",
            question="Which one is most {descriptor}?",
            below=GUESS,
            plan="Three strips, one of the trial you expect to be stronger: which has most of a quality you name?",
            guessing="one third",
            source=_THIRD,
        ),
        "two-out-of-five": KindWords(
            name="Two out of five",
            told="Five strips, two of one trial and three of the other: which two belong together?",
            one="a two-out-of-five",
            many="sets of five",
            question="Which two go together?",
            below=f"Two are alike, and so are the other three. {GUESS}",
            plan="Five strips, two of one trial and three of the other: find the two. Guessing rarely "
            "succeeds, but five strips tire the nose.",
            guessing="one tenth",
            source="guessing 1/10, the same exact rule",
        ),
        "preference": KindWords(
            name="Paired preference",
            told="Two strips, one of each trial: which is liked better?",
            question="Which one do you like better?",
        ),
        "profile": KindWords(name="Profile", told="One strip at a time: how much of each descriptor is in it?"),
        "round": KindWords(
            name="Round of pairs",
            told="Two strips at a time, pair after pair: which is liked better?",
            question="Which one do you like better?",
        ),
        "ranking": KindWords(name="Ranking", told="One strip of each trial: put them in order, the best liked first."),
    },
)
