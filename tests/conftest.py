"""What all tests share: the catalog as shipped, and scenarios written inline."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hypothesis import settings

from catalog.catalog import load_catalog
from catalog.records import Catalog
from optimizer.errors import InputErrors
from optimizer.scenario.read import load_scenario
from optimizer.scenario.records import Scenario

# The same examples in every run: a test that fails today failed yesterday.
settings.register_profile("steady", derandomize=True)
settings.load_profile("steady")

SCENARIOS = Path(__file__).parents[1] / "scenarios"


@pytest.fixture(scope="session", autouse=True)
def data_folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """An empty user's data folder: no test reads what the person at this machine keeps."""
    with pytest.MonkeyPatch.context() as patch:
        folder = tmp_path_factory.mktemp("data")
        patch.setenv("WEIGHOUT_DATA", str(folder))
        yield folder


@pytest.fixture(scope="session")
def catalog() -> Catalog:
    """The catalog as shipped; it has no mistakes."""
    loaded, mistakes = load_catalog()
    assert mistakes == []
    return loaded


@pytest.fixture
def read(tmp_path: Path, catalog: Catalog) -> Callable[[str], Scenario]:
    """Reads a scenario written inline."""

    def reader(text: str) -> Scenario:
        path = tmp_path / "inline.toml"
        path.write_text(text, encoding="utf-8")
        return load_scenario(path, catalog)

    return reader


@pytest.fixture
def mistakes(tmp_path: Path, catalog: Catalog) -> Callable[[str | bytes], list[str]]:
    """The mistakes in a scenario written inline, as they are printed, without the folder."""

    def reader(text: str | bytes) -> list[str]:
        path = tmp_path / "inline.toml"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        with pytest.raises(InputErrors) as caught:
            load_scenario(path, catalog)
        return [str(m).replace(str(tmp_path) + "/", "") for m in caught.value.mistakes]

    return reader
