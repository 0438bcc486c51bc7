"""Own foods written inline, laid over the catalog."""

from collections.abc import Callable
from pathlib import Path

import pytest

from catalog.mistakes import Mistake
from catalog.own.overlay import FILE_NAME, is_own, lay_over
from catalog.records import Catalog, Food

Lay = Callable[[str], tuple[Catalog, list[Mistake]]]


@pytest.fixture
def lay(tmp_path: Path, catalog: Catalog) -> Lay:
    """Lays a file written inline over the catalog."""

    def layer(text: str) -> tuple[Catalog, list[Mistake]]:
        path = tmp_path / FILE_NAME
        path.write_text(text, encoding="utf-8")
        return lay_over(catalog, path)

    return layer


@pytest.fixture
def right(lay: Lay) -> Callable[[str], Food]:
    """The last food of a file that has no mistake."""

    def reader(text: str) -> Food:
        laid, mistakes = lay(text)
        assert mistakes == []
        return [food for food in laid.foods.values() if is_own(food)][-1]

    return reader


@pytest.fixture
def wrong(lay: Lay) -> Callable[[str], list[str]]:
    """The mistakes in a file: line and field, what was read, what is allowed."""
    return lambda text: [f"{m.line} {m.field}: {m.read}; {m.allowed}" for m in lay(text)[1]]
