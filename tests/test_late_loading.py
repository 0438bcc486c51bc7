"""Heavy libraries load late: help comes at once, and a check that misses nothing needs no solver."""

import subprocess
import sys
from pathlib import Path

import pytest

from catalog.records import Catalog
from optimizer.planning import plan
from tests.altered import demo, scenario_of, toml_text, written_back

ROOT = Path(__file__).parents[1]


@pytest.mark.parametrize(
    ("command", "absent"),
    [
        (["--help"], {"pandas", "pint", "pulp", "highspy", "pydantic", "numpy", "rich.table"}),
        (["plan", "--help"], {"pandas", "pint", "pulp", "highspy", "pydantic", "numpy", "rich.table"}),
        (
            ["check", "complete.toml"],
            {"pandas", "pulp", "highspy"},
        ),  # what would help is planned where a limit is missed
        (["plan", "scenarios/turkey-week.toml"], {"pandas"}),
    ],
)
def test_heavy_libraries_load_only_where_they_are_used(
    command: list[str], absent: set[str], catalog: Catalog, tmp_path: Path
) -> None:
    if "complete.toml" in command:
        data = demo("turkey-week")
        written = written_back(data, plan(scenario_of(data, catalog), catalog))
        (tmp_path / "complete.toml").write_text(toml_text(written), encoding="utf-8")
        command = [part if part != "complete.toml" else str(tmp_path / part) for part in command]
    program = (
        "import sys; from optimizer.cli.main import main\n"
        "try: main(sys.argv[1:])\n"
        "except SystemExit: pass\n"
        "print('\\nLOADED', *sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", program, *command], capture_output=True, text=True, cwd=ROOT, check=True
    )
    assert "Traceback" not in done.stderr
    loaded = set(done.stdout.rpartition("LOADED")[2].split())
    assert not absent & loaded
