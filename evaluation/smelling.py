"""How a set is smelt: the one source of what ballot, paper, the page Alone, sheets and calendar tell hands and nose.

Seconds are whole. Where one comes from stands beside it: "proposal" is a choice of ours, "common practice, no source"
a habit of the trade that nobody has measured for us.
"""

from __future__ import annotations

from typing import Final

from evaluation import checks

SNIFFS_SECONDS: Final = 3  # two or three short sniffs (common practice, no source)
STRIP_SECONDS: Final = 5  # take up, smell, put down again (proposal)
PAUSE_SECONDS: Final = 60  # between two strips of a set (proposal)
LEAST_PAUSE_SECONDS: Final = 30  # below it the nose still holds the strip before (proposal; kits use 20-30 s, memory)
SETS_PAUSE_SECONDS: Final = 180  # between two sets (proposal)
ANSWER_SECONDS: Final = 20  # from the last sniff to the locked answer (proposal)
RATING_SECONDS: Final = 4  # each rating beyond the first on a rating screen (proposal)


def set_seconds(strips: int, *, rounds: int = 1, ratings: int = 1) -> int:
    """Seconds one set takes from its first sniff to the locked answer, pauses between its strips included.

    ``rounds``: how often each strip is smelt (2 where one may go back once). Three strips once: 155 s. It is what to
    plan with; it does not promise that anybody keeps to it, and nothing holds people to it.
    """
    checks.whole("strips of a set", strips, 1, 12)
    checks.whole("rounds", rounds, 1, 2)
    checks.whole("ratings", ratings, 1, 200)
    sniffs = strips * rounds
    return sniffs * STRIP_SECONDS + (sniffs - 1) * PAUSE_SECONDS + ANSWER_SECONDS + (ratings - 1) * RATING_SECONDS
