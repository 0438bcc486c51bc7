"""What tests of the market share: a trip through a market written inline."""

from collections.abc import Sequence
from pathlib import Path

import pytest

from catalog.records import Catalog
from optimizer.market.prepare import prepare
from optimizer.market.trip import Trip, go
from optimizer.scenario.read import load_scenario
from tests.optimizer.market.market_stores import Shopping


@pytest.fixture
def shop(tmp_path: Path, catalog: Catalog) -> Shopping:
    def run(text: str, sizes: dict[str, object] | None = None, stores: Sequence[str] = ()) -> Trip:
        path = tmp_path / "market.toml"
        path.write_text(text, encoding="utf-8")
        read, market, offers = prepare(load_scenario(path, catalog, shopping=True), catalog, [], sizes or {}, stores)
        return go(read, market, offers, catalog, seconds=60)

    return run
