"""What the ballot draws above every question, before anything else.

Whatever has to be said or waited for before a question can be answered is drawn by an entry of ``PARTS``.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from parts.ballot import asking_back, calling, rest_left, sitting_begins

from evaluation.actions.ballot import BallotView

Part = Callable[[BallotView], bool]

# Each draws its part and returns True where the question is to wait: the question and its lock are not drawn then.
PARTS: Final[tuple[Part, ...]] = (sitting_begins.draw, calling.draw, asking_back.draw, rest_left.draw)


def draw(view: BallotView) -> bool:
    """Draw all parts; True if one of them wants the question to wait."""
    waits = [part(view) for part in PARTS]  # every part is drawn, whatever the others want
    return any(waits)
