"""Data flows one way, and each heavy dependency is known in one room only."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

from catalog.records import Catalog
from optimizer.plan import plan
from tests.altered import demo, scenario_of, toml_text, written_back

ROOT = Path(__file__).parents[1]

# From left to right; a room may import rooms to its left and rooms beside it in its own line.
ORDER = [
    ["catalog"],
    ["optimizer.errors", "optimizer.cats", "optimizer.deadline", "optimizer.market.records", "optimizer.scenario"],
    ["optimizer.scenario_tables", "optimizer.cats_file", "optimizer.market.tables"],
    ["optimizer.entries"],
    ["optimizer.market.offers", "optimizer.market.wording"],
    ["optimizer.arrays"],
    ["optimizer.affine", "optimizer.ingredients", "optimizer.verdicts"],
    ["optimizer.scenario_checks", "optimizer.whatif"],
    ["optimizer.scenario_file"],
    ["optimizer.limit_terms", "optimizer.shares"],
    ["optimizer.dose_rows", "optimizer.guard_rows"],
    ["optimizer.limit_rows"],
    ["optimizer.problem"],
    ["optimizer.aims"],
    ["optimizer.solver", "optimizer.assessment"],
    ["optimizer.nearest", "optimizer.words", "optimizer.render.numbers"],
    ["optimizer.choice"],
    ["optimizer.reasons"],
    ["optimizer.cautions"],
    ["optimizer.sheet"],
    ["optimizer.check", "optimizer.headline", "optimizer.plan", "optimizer.slips"],
    ["optimizer.comparison", "optimizer.tradeoff"],
    ["optimizer.contributions", "optimizer.portions", "optimizer.work_order"],
    ["optimizer.calendar_file", "optimizer.dossier"],
    ["optimizer.pooling"],
    ["optimizer.market"],
    ["optimizer.journal"],
    ["optimizer.more_meat"],
    ["optimizer.amend"],
    ["optimizer.render"],
    ["optimizer.cli_common"],
    ["optimizer.cli_journal_common", "optimizer.cli_journal_back"],
    ["optimizer.cli_journal", "optimizer.cli_stock", "optimizer.cli_amend"],
    ["optimizer.cli_foods", "optimizer.cli_standards", "optimizer.cli_whatif", "optimizer.cli_paper"],
    ["optimizer.cli_market", "optimizer.cli_market_paper", "optimizer.cli_prices"],
    ["optimizer.cli"],
]
ROOMS = {
    "pulp": {"optimizer.solver"},
    "highspy": {"optimizer.solver"},
    "pint": {"catalog.units"},
    "pydantic": {
        "catalog.toml_fields",
        "catalog.own_tables",
        "catalog.own_standard_tables",
        "optimizer.scenario_tables",
        "optimizer.cats_file",
    },
    "pydantic_core": {"catalog.toml_fields"},
    "platformdirs": {"catalog.own_entries"},
    "click": {
        "optimizer.cli",
        "optimizer.cli_common",
        "optimizer.cli_foods",
        "optimizer.cli_standards",
        "optimizer.cli_amend",
        "optimizer.cli_journal",
        "optimizer.cli_journal_back",
        "optimizer.cli_journal_common",
        "optimizer.cli_market",
        "optimizer.cli_market_paper",
        "optimizer.cli_paper",
        "optimizer.cli_prices",
        "optimizer.cli_stock",
        "optimizer.cli_whatif",
    },
    "jinja2": {"optimizer.render.pages"},
    "matplotlib": {"optimizer.render.charts"},
    "openpyxl": {"optimizer.render.workbook"},
    "icalendar": {"optimizer.calendar_file"},
    "sqlite3": {"optimizer.journal.store"},
}


def modules() -> list[tuple[str, Path]]:
    files = [path for package in ("catalog", "optimizer") for path in sorted((ROOT / package).rglob("*.py"))]
    return [(".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"), path) for path in files]


def imports(path: Path) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module)
    return found


def place(module: str) -> int | None:
    for position, rooms in enumerate(ORDER):
        if any(module == room or module.startswith(room + ".") for room in rooms):
            return position
    return None


@pytest.mark.parametrize(("module", "path"), modules())
def test_every_room_has_a_place_and_imports_only_to_its_left(module: str, path: Path) -> None:
    if module == "optimizer":
        return
    own = place(module)
    assert own is not None, f"{module} has no place in ORDER"
    for imported in imports(path):
        if imported.split(".")[0] in ("catalog", "optimizer"):
            other = place(imported)
            assert other is not None
            assert other <= own, f"{module} imports {imported}, which is to its right"


@pytest.mark.parametrize(("module", "path"), modules())
def test_each_dependency_has_one_room(module: str, path: Path) -> None:
    for imported in imports(path):
        allowed = ROOMS.get(imported.split(".")[0])
        assert allowed is None or module in allowed, f"{module} imports {imported}"


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
        "import sys; from optimizer.cli import main\n"
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
