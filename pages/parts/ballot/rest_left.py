"""Above a new set: what is left of the rest that is proposed between two sets. It counts by itself and holds nobody."""

from __future__ import annotations

from parts import countdown
from parts.ballot import around_questions as words

from evaluation.actions.ballot import BallotView


def draw(view: BallotView) -> bool:
    """A small countdown until something of the set is locked; with a timetable the call says when to smell.

    It stays in its place when the rest is over: a line that vanished would move the buttons under a thumb.
    """
    asked = view.question
    if asked is not None and asked.serving_id and view.rest_in is not None and view.smell_at is None and not view.begun:
        countdown.draw("ballot-rest", words.RESTING, view.rest_in, words.RESTED, turn=view.number, calm=True)
    return False
