"""Words of bottles: where they stand, and which difference between two of one trial a session means."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from evaluation.values.trials import Meant, Stored

KEPT: Final[Mapping[Stored, str]] = MappingProxyType(
    {"": "not recorded", "dark": "in the dark", "cold": "in the cold", "warm": "in the warm", "window": "at a window"}
)
MEANT_WORDS: Final[Mapping[Meant, str]] = MappingProxyType(
    {
        "lots": "another lot or supplier",
        "batch": "a second batch",
        "age": "fresh against aged",
        "stored": "kept otherwise, such as warm against cold",
        "strength": "two strengths",
    }
)
OF_BOTTLES: Final = "Two bottles of one trial: this says something of bottles, and nothing of which trial to keep."


def meant_line(meant: Meant) -> str:
    """Which difference between bottles of one trial a sealed plan means; nothing where it has none."""
    return f"Bottles of one trial; the difference meant: {MEANT_WORDS[meant]}." if meant else ""
