"""The closed sets of words in which sessions are written down, so that the type checker finds a misspelt one.

Methods stand with their records (``kinds``), states with their table of steps (``states``). What is read from the
notebook, a file or a form passes ``checks.term``.
"""

from __future__ import annotations

from typing import Final, Literal

from evaluation.ground.checks import term

Medium = Literal["strip", "skin"]
Media = Literal["strip", "skin", "strip and skin"]  # of a whole session
Side = Literal["", "first", "second"]  # which of two trials is expected to show more; "": none
Law = Literal["balanced", "independent", "shuffled"]
Preparation = Literal["", "clips", "vials"]
TiesRule = Literal["drop", "split"]
GoingBack = Literal["", "no", "once"]
Prior = Literal["sceptical", "flat", "hopeful"]
DescriptorOrder = Literal["fixed", "drawn"]
DeviationKind = Literal[
    "early", "late", "wrong strip", "ruined strip", "unblinded", "overheard", "recognised", "wrong code"
]
StopKind = Literal["skin", "unwell"]

STRIP: Final = "strip"
SKIN: Final = "skin"
MEDIA: Final[tuple[Media, ...]] = ("strip", "skin", "strip and skin")
_EACH: Final[tuple[Medium, ...]] = ("strip", "skin")
# What each word for a session's media means. "strip and skin" stands in sealed plans and is read for ever.
SMELT_ON: Final[dict[Media, tuple[Medium, ...]]] = {
    "strip": ("strip",),
    "skin": ("skin",),
    "strip and skin": ("strip", "skin"),
}
DESCRIPTOR_ORDERS: Final[tuple[DescriptorOrder, ...]] = ("fixed", "drawn")  # for everybody alike, or drawn for each
TIES_RULES: Final[tuple[TiesRule, ...]] = ("drop", "split")
# Whether a strip already smelt may be smelt again before the answer is locked: told to everybody, never enforced.
NO_GOING_BACK: Final = "no"
GO_BACK_ONCE: Final = "once"
GOING_BACK: Final[tuple[GoingBack, ...]] = (NO_GOING_BACK, GO_BACK_ONCE)
# By which law orders, places on skin and dips are drawn: balanced over the panel and dipped in tray order (everything
# sealed before 2026-11-26), each by itself and uniformly, or not at all: alone the shuffle is the draw.
SURENESS: Final = ("guess", "unsure", "fairly sure", "sure")  # how sure a choice may be said to be
BALANCED: Final = "balanced"
INDEPENDENT: Final = "independent"
SHUFFLED: Final = "shuffled"
# How strips are blinded alone: like clips over marks, shuffled after dipping, or like vials, drawn blind before it. "":
# sealed before 2026-11-26, when nothing was said and no dip was tapped.
CLIPS: Final = "clips"
VIALS: Final = "vials"
PREPARATIONS: Final[tuple[Preparation, ...]] = ("", CLIPS, VIALS)
PRIORS: Final[tuple[Prior, ...]] = ("sceptical", "flat", "hopeful")

# What may set an assessment apart. A plan seals which of these leave its primary analysis.
EARLY: Final = "early"  # smelt outside the tolerance of the strip age: too young
LATE: Final = "late"  # and too old; before 2026-11-26 both were noted as late
DEVIATIONS: Final[tuple[DeviationKind, ...]] = (
    *(EARLY, LATE, "wrong strip", "ruined strip", "unblinded", "overheard", "recognised"),
    "wrong code",  # another code was locked than the one meant
)
STOPS: Final[tuple[StopKind, ...]] = ("skin", "unwell")  # why somebody stops: the skin reacts, or they feel unwell
ALWAYS_OUT: Final[tuple[DeviationKind, ...]] = ("wrong strip", "ruined strip", "unblinded")


def medium_of(text: str) -> Medium:
    """A medium read from the notebook, a file or a form."""
    return term("medium", text, _EACH)


def media_of(text: str) -> Media:
    """The media of a whole session, read from the notebook, a file or a form."""
    return term("medium", text, MEDIA)
