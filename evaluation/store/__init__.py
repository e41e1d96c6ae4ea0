"""The notebook: everything that is remembered, in one SQLite file or one PostgreSQL database.

SQL is written here and nowhere else. Names are resolved when first asked for, so that importing the package costs
nothing; the migrations (and Alembic with them) are only imported by a store that needs them.
"""

from __future__ import annotations

import importlib
import secrets
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from evaluation.store.chain import read_body
    from evaluation.store.kept_doors import Visit
    from evaluation.store.notebook import Notebook, Transaction

__all__ = ["Notebook", "Transaction", "Visit", "new_id", "read_body"]

_HOMES: Final = MappingProxyType(
    {"Notebook": "notebook", "Transaction": "notebook", "Visit": "kept_doors", "read_body": "chain"}
)


def new_id() -> str:
    """A random name for a row; it says nothing about when or by whom it was made."""
    return secrets.token_hex(8)


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(importlib.import_module(f"{__name__}.{_HOMES[name]}"), name)
