"""The command line says where a person's own foods are: in the data folder, then beside the scenario."""

from pathlib import Path

import pytest

from catalog.own.overlay import FILE_NAME
from optimizer.cli.common import load_all

LABEL = """[[foods]]
id = "{id}"
name = "taurine capsule"
role = "supplement"
counts_as = "non-meat"
per = "1 capsule (1.1 g)"
[foods.amounts]
taurine = "1000 mg"
"""


def test_own_foods_are_in_the_data_folder_and_beside_the_scenario(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    data, kitchen = tmp_path / "data", tmp_path / "kitchen"
    monkeypatch.setenv("WEIGHOUT_DATA", str(data))
    for folder, id_ in ((data, "of-the-person"), (kitchen, "beside-the-scenario")):
        folder.mkdir()
        (folder / FILE_NAME).write_text(LABEL.format(id=id_), encoding="utf-8")
    assert {"of-the-person", "beside-the-scenario"} <= load_all(kitchen / "week.toml").foods.keys()
    assert "beside-the-scenario" not in load_all(tmp_path / "week.toml").foods
    monkeypatch.chdir(kitchen)
    assert load_all(None).foods["beside-the-scenario"].file == FILE_NAME  # without a scenario, the working folder
