"""Balanced incomplete blocks: more bottles than a nose smells side by side, each nose a block a sitting.

A class is the blocks of one nose, in which it smells every bottle; over all classes every two bottles meet in equally
many blocks. Seven bottles: the lines of the plane of order 2, a class those through one point, which is smelt in each
of its sittings. Eight: the planes of a cube over two elements and what each leaves. Sixteen: the lines of the affine
plane of order 4. (Textbook designs, from memory: Cochran & Cox 1957, Experimental Designs, ch. 11; the balance is
counted in tests.)
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import product
from types import MappingProxyType
from typing import Final

from evaluation.kinds.separation import Separation
from evaluation.serving.draws import Stream

Block = tuple[int, ...]  # places of combinations
Class = tuple[Block, ...]


def classes_of(bottles: int) -> tuple[Class, ...]:
    """The classes for so many bottles; one class of one block where all are smelt in one sitting."""
    made = _CLASSES.get(bottles)
    return (((tuple(range(bottles)),),)) if made is None else made()


def met_in_a_sitting(bottles: int, noses: int) -> tuple[int, int]:
    """How often two bottles meet in one sitting of one nose, the rarest and the most frequent, for so many noses."""
    classes = classes_of(bottles)
    dealt = [classes[at % len(classes)] for at in range(noses)]
    pairs = {(one, two): 0 for one in range(bottles) for two in range(one + 1, bottles)}
    for block in (block for found in dealt for block in found):
        for pair in ((one, two) for one in block for two in block if one < two):
            pairs[pair] += 1
    return min(pairs.values()), max(pairs.values())


def blocks_dealt(separation: Separation, seats: Sequence[int], sittings: int, seed: bytes) -> dict[int, list[Block]]:
    """Each seat's blocks, one a sitting: the classes in a drawn order, in turn over the seats.

    The order of a nose's own blocks is drawn for it alone.
    """
    classes = Stream(seed, "classes of blocks").shuffled(classes_of(len(separation.combinations)))
    rounds = sittings // separation.sittings_a_round
    found: dict[int, list[Block]] = {}
    for at, seat in enumerate(seats):
        stream = Stream(seed, f"sequence of blocks {seat}")
        mine = (classes[(at * rounds + turn) % len(classes)] for turn in range(rounds))
        found[seat] = [block for one in mine for block in stream.shuffled(one)]
    return found


# --- the designs ------------------------------------------------------------------------------------------------------


def _seven() -> tuple[Class, ...]:
    lines = [tuple(sorted((first + shift) % 7 for first in (0, 1, 3))) for shift in range(7)]
    return tuple(tuple(line for line in lines if point in line) for point in range(7))


def _eight() -> tuple[Class, ...]:
    return tuple(
        tuple(tuple(at for at in range(8) if (at & plane).bit_count() % 2 == side) for side in (0, 1))
        for plane in range(1, 8)
    )


# The field of four elements: sums are bitwise, products by this table (2 = w, 3 = w + 1, w² = w + 1).
_TIMES: Final = ((0, 0, 0, 0), (0, 1, 2, 3), (0, 2, 3, 1), (0, 3, 1, 2))


def _sixteen() -> tuple[Class, ...]:
    points = list(product(range(4), repeat=2))

    def line(slope: int | None, shift: int) -> Block:
        on = (x == shift if slope is None else y == _TIMES[slope][x] ^ shift for x, y in points)
        return tuple(at for at, there in enumerate(on) if there)

    return tuple(tuple(line(slope, shift) for shift in range(4)) for slope in (0, 1, 2, 3, None))


_CLASSES: Final = MappingProxyType[int, Callable[[], tuple[Class, ...]]]({7: _seven, 8: _eight, 16: _sixteen})
