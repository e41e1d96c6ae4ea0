"""statsmodels' corrections without the full garbage collection it runs at each call.

In a process that holds the whole test suite one such collection takes a quarter of a second; an enumeration that asks
5,456 times took twenty minutes. The numbers are statsmodels' own.
"""

from __future__ import annotations

from typing import Any
from unittest.mock import patch

from statsmodels.stats import multitest


def multipletests(*asked: Any, **named: Any) -> Any:
    """``statsmodels.stats.multitest.multipletests``, with its arguments and answers."""
    with patch("gc.collect", lambda: 0):
        return multitest.multipletests(*asked, **named)
