"""A referee draws a sealed session again from its seed: what was sealed before is drawn as it was then."""

from __future__ import annotations

from itertools import count
from pathlib import Path

import pytest

from evaluation.report import export
from evaluation.serving.blinding import draw

RELEASED = sorted((Path(__file__).parent / "released").glob("*.zip"))


@pytest.mark.parametrize("file", RELEASED, ids=[one.stem for one in RELEASED])
def test_orders_and_places_come_again_from_the_seed(file: Path) -> None:
    """Codes too would, given those each person had met before; they hang on earlier sessions."""
    with export.opened(file) as copy, copy.notebook.reading() as tx:
        plan = tx.sittings.session(copy.session_id).plan
        key, served = tx.key.open_key(copy.session_id), tx.sittings.servings(copy.session_id)
    numbers = count(1)
    again = draw(plan, bytes.fromhex(key.seed), lambda: str(next(numbers)))
    assert plan.draw == "balanced"
    assert again.key.letters == key.letters
    assert {one.dips for one in (*again.servings, *served)} == {()}
    if not plan.solo:  # alone no order is drawn
        assert [one.sites for one in again.servings] == [one.sites for one in served]
        assert [order for _, order in again.key.orders] == [order for _, order in key.orders]
