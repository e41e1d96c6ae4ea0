"""The covered marks of a set smelt alone: how they are typed, whether the answer was right, which sets cannot count.

The shuffle is the draw: given which strips a set holds, each lies at each place with the same chance, whatever else is
known. So leaving sets out by what they hold, and by nothing else, leaves guessing exactly at chance for the others.

* **Triangle**, A A B or A B B: the odd one lies at each of three places with chance 1/3, in both kinds. A pair of sets
  that should hold one of each and holds one kind twice keeps both: which was mistaken cannot be known, and need not be.
* **Three of a kind** (A A A): there is no odd one, no answer is right, and guessing is never right.
* **2-AFC**, A A or B B: neither is the stronger one. **3-AFC** with the stronger trial twice: two answers would be
  right, by guessing in 2 of 3; with it never or three times none, or all. **Tetrad**, A A A B: no two pairs.
* **A foreign strip**, or a mark nobody can read ("?"): what would have been right is not known.

Such a set is a *wrong strip*: it leaves the analysis. Because marks are read after the answers, whoever reads them
could make a wrong answer a wrong strip: the verdicts that count it as answered stand beside. What this does not cover:
strips that change places between two trays after the shuffle and are then taken for what the trays' places say. Codes
stand on the strips, so each is read by its own code, and one that carries a code of another set is "?" where it was
smelt. (``tests/serving/test_marks.py`` enumerates all of this.)
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from evaluation.errors import ArgumentError
from evaluation.kinds import Method
from evaluation.serving.blinding import as_real, correct_value, orders
from evaluation.sessions import Plan

OTHER: Final = "?"  # a strip that is none of these, or whose mark cannot be read
WRONG_STRIP: Final = "wrong strip"
_BETWEEN: Final = re.compile(r"[\s,.;:/+|–-]+")  # what people write between letters


def letters(plan: Plan) -> str:
    """What a mark can say, "?" last; with null sets a and b are the same trials in their second vials."""
    return ("ABab" if plan.null_sets else "AB") + OTHER


def as_stored(plan: Plan, place: int, codes: Sequence[str], typed: str) -> str:
    """Marks as people type them ("a b a", "A, B, A") as they are stored: one letter a strip, in the codes' order."""
    known = letters(plan)
    found = _BETWEEN.sub("", typed)
    found = found if "a" in known else found.upper()
    if len(found) != len(codes) or not set(found) <= set(known):
        raise ArgumentError(
            f"Set {place}: enter {len(codes)} letters in the order of the codes {', '.join(codes)}, each of them "
            f"{', '.join(known[:-1])} or {OTHER}, such as {' '.join(orders(plan.method, plan.expected)[0])}."
        )
    return found


def check(plan: Plan, order: str) -> None:
    """Refuse what is no mark of a set of this plan: the last door before it is written down for good."""
    if len(order) != plan.strips_a_set or not set(order) <= set(letters(plan)):
        raise ArgumentError(f"marks must be {plan.strips_a_set} of {', '.join(letters(plan))}, not {order!r}.")


def of_no_kind(method: Method, order: str, expected: str = "") -> bool:
    """True for marks of a set that has no one right answer, as guessing finds it, under this method."""
    return as_real(order) not in orders(method, expected)


def is_right(method: Method, order: str, codes: Sequence[str], chosen: str, expected: str = "") -> bool:
    """Whether an answer is the one the marks make right; never where they are of no kind."""
    return not of_no_kind(method, order, expected) and chosen == correct_value(method, order, codes, expected)
