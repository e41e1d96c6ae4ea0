"""A column of text to codes: what repeats in a block is found without hashing every cell.

Answers repeat themselves: one method in a whole file, one comparison for hundreds of rows, "0" and "1". Each block
takes the first way that holds for all of its cells; codes and values are the same whichever it was.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as arrow_compute

Codes = npt.NDArray[np.int32]
_Bytes = npt.NDArray[np.uint8]

_LOOKED_AT: Final = 1024  # rows from which it is guessed that a block is made of runs
_A_RUN: Final = 16  # rows of a run, on average, from which runs are worth it
_ASCII: Final = 128
_FEW_LETTERS: Final = 10


def coded(column: Any) -> tuple[Codes, list[str]]:
    """For each cell of a chunked array of strings the place of its text among the distinct ones, and these.

    Distinct texts stand in the order in which they first appear. No cell may be missing; an empty one is "".
    """
    blocks = [_block(block) for block in column.chunks if len(block)]
    if not blocks:
        return np.zeros(0, np.int32), []
    whole = pa.chunked_array(blocks).unify_dictionaries().combine_chunks()
    return whole.indices.to_numpy(), whole.dictionary.to_pylist()


def _block(block: Any) -> Any:
    return next(found for way in _WAYS if (found := way(block)) is not None)


def _constant(block: Any) -> Any:
    """All cells alike: their bytes compared with themselves, a cell later."""
    ends, cells = _cells_of(block)
    wide = int(ends[1] - ends[0])
    if len(cells) != wide * len(block) or (np.diff(ends) != wide).any():
        return None
    if not np.array_equal(cells[wide:], cells[: len(cells) - wide]):
        return None
    return pa.DictionaryArray.from_arrays(np.zeros(len(block), np.int32), block.slice(0, 1))


def _letters(block: Any) -> Any:
    """Each cell one of a few letters: each letter is looked for once."""
    ends, cells = _cells_of(block)
    if len(cells) != len(block) or (np.diff(ends) != 1).any() or cells.max() >= _ASCII:
        return None
    found: list[str] = []
    codes, left = np.zeros(len(cells), np.int32), np.ones(len(cells), np.bool_)
    while left.any():
        if len(found) == _FEW_LETTERS:
            return None
        here = cells == cells[np.argmax(left)]
        codes += np.multiply(here, len(found), dtype=np.int32)
        found.append(chr(cells[np.argmax(here)]))
        left &= ~here
    return pa.DictionaryArray.from_arrays(codes, pa.array(found, pa.string()))


def _runs(block: Any) -> Any:
    """The same text many times in a row: one cell of each run is hashed."""
    if len(arrow_compute.run_end_encode(block.slice(0, _LOOKED_AT)).values) * _A_RUN > min(len(block), _LOOKED_AT):
        return None
    runs = arrow_compute.run_end_encode(block)
    once = runs.values.dictionary_encode()
    codes = np.repeat(once.indices.to_numpy(), np.diff(runs.run_ends.to_numpy(), prepend=0))
    return pa.DictionaryArray.from_arrays(codes, once.dictionary)


def _cells_of(block: Any) -> tuple[Codes, _Bytes]:
    """Where the cells of a block begin, with the end of the last, and the bytes between."""
    _, offsets, text = block.buffers()
    ends = np.frombuffer(offsets, np.int32)[block.offset : block.offset + len(block) + 1]
    return ends, np.frombuffer(text or b"", np.uint8)[ends[0] : ends[-1]]


_WAYS: Final[tuple[Callable[[Any], Any], ...]] = (_constant, _letters, _runs, lambda block: block.dictionary_encode())
