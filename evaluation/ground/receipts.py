"""A receipt short enough to be written down by hand: that a record was there once can be shown with it afterwards."""

from __future__ import annotations

import re
from typing import Final

from evaluation.errors import ArgumentError
from evaluation.ground.canonical import digest

_BODY, _CHECK, _GROUP = 10, 2, 4  # digits: 40 bits of the record, 8 bits against slips of the pen
DIGITS: Final = _BODY + _CHECK
_FORM: Final = re.compile(r"[0-9a-f]{12}", re.ASCII)


def receipt_of(record_hash: str) -> str:
    """The receipt of a record, such as "9538-4cf0-5bdc"; no part of the hash itself stands in it."""
    body = digest(b"receipt", record_hash.encode())[:_BODY]
    return _grouped(body + _check_of(body))


def read_receipt(text: str) -> str:
    """A receipt as somebody typed it, in its own spelling; ArgumentError for what none can be."""
    bare = re.sub(r"[\s\-–—.]", "", text).lower().replace("o", "0").replace("l", "1")
    if not _FORM.fullmatch(bare) or _check_of(bare[:_BODY]) != bare[_BODY:]:
        raise ArgumentError(
            "receipt must be three groups of four as the phone showed them, such as 9538-4cf0-5bdc, and "
            f"{text[:40]!r} is none, or was mistyped."
        )
    return _grouped(bare)


def _check_of(body: str) -> str:
    return digest(b"receipt check", body.encode())[:_CHECK]


def _grouped(bare: str) -> str:
    return "-".join(bare[first : first + _GROUP] for first in range(0, len(bare), _GROUP))
