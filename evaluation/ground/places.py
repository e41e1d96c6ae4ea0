"""Where things lie: screens and demo scenario inside an installed package, else beside a checkout; a user's data."""

from __future__ import annotations

import os
import sys
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


def data_folder() -> Path:
    """This user's own data folder, outside any checkout; it may not be there yet."""
    if sys.platform == "win32":
        base = Path(os.environ.get("APPDATA") or Path.home() / "AppData" / "Roaming")
    elif sys.platform == "darwin":
        base = Path.home() / "Library" / "Application Support"
    else:
        base = Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share")
    return base / "mouillette"
