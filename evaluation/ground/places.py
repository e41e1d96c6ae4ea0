"""Where the screens and the demo scenario lie: inside an installed package, else beside a checkout."""

from __future__ import annotations

from pathlib import Path

from evaluation.errors import StoreError

_PACKAGE = Path(__file__).resolve().parents[1]


def folder(name: str) -> Path:
    """The folder ``pages`` or ``demo_sessions``: packaged first, then beside a checkout known by its pyproject."""
    packaged = _PACKAGE / f"_{name}"
    if packaged.is_dir():
        return packaged
    checkout = _PACKAGE.parent
    if (checkout / "pyproject.toml").is_file() and (checkout / name).is_dir():
        return checkout / name
    raise StoreError(f"The folder {name!r} is missing from this installation: install the package again.")
