"""The fonts of the PDF sheets, and which signs they lack: named before anything is printed."""

from __future__ import annotations

import unicodedata
from collections.abc import Container, Iterable
from pathlib import Path
from typing import Final

from evaluation.errors import ArgumentError

FOLDER: Final = Path(__file__).resolve().parent / "fonts"
REGULAR: Final = FOLDER / "DejaVuSans.ttf"
BOLD: Final = FOLDER / "DejaVuSans-Bold.ttf"
_SHOWN: Final = 5


def printable(text: str) -> str:
    """Text as it is drawn: signs composed where they can be, every white space one blank."""
    return " ".join(unicodedata.normalize("NFC", text).split())


def missing(text: str, covered: Container[int]) -> tuple[str, ...]:
    """Signs of ``text`` that are not among the code points ``covered``, each once, in order."""
    return tuple(sign for sign in dict.fromkeys(printable(text)) if ord(sign) not in covered)


def check(texts: Iterable[str], covered: Container[int]) -> None:
    """Refuse to print what would come out as empty boxes, naming sign and word."""
    found = {sign: text for text in dict.fromkeys(texts) for sign in missing(text, covered)}
    if not found:
        return
    told = ", ".join(f"“{sign}” in “{printable(text)[:40]}”" for sign, text in list(found.items())[:_SHOWN])
    more = f" and {len(found) - _SHOWN} more" if len(found) > _SHOWN else ""
    raise ArgumentError(
        f"The font of the PDF has no sign for {told}{more}: write it in other letters, or print the HTML sheet, which "
        "takes its fonts from this computer."
    )
