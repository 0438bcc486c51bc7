"""The library from several threads at once: each answer is that of one thread alone."""

import hashlib
import json
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import date
from pathlib import Path

import optimizer
from tests.conftest import SCENARIOS

ROOT = Path(__file__).parents[2]
NAMES = (  # in reach: no search that a time limit ends
    "turkey-week",
    "boneless-beef",
    "rabbit-few-jars",
    "duck-and-quail-as-usual",
)
THREADS = 8
OF_A_PLAN = {"sheet": "a.html", "report": "b.html", "workbook": "c.xlsx"}  # the report has charts as SVG
OF_A_CHECK = {"vet": "d.html", "labels": "e.html", "chart": "f.png", "csv": "g"}
Digests = dict[str, str]


def digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def answers(name: str, planned: bool) -> Digests:
    """What is told of a demo from the very beginning: the sheet as JSON and each of its papers, as digests."""
    catalog = optimizer.load_catalog()
    scenario = optimizer.load_scenario(SCENARIOS / f"{name}.toml", catalog)
    sheet = optimizer.plan(scenario, catalog) if planned else optimizer.check(scenario, catalog)
    told = optimizer.as_json(sheet, catalog) | {"solver": None}  # its seconds differ
    with tempfile.TemporaryDirectory() as folder:
        files = {kind: Path(folder, file) for kind, file in (OF_A_PLAN if planned else OF_A_CHECK).items()}
        papers = replace(optimizer.Papers(made=date(2026, 3, 1)), **files)
        optimizer.write_papers(papers, scenario, catalog, sheet)
        found = {p.name: digest(p.read_bytes()) for p in sorted(Path(folder).rglob("*")) if p.is_file()}
    return found | {"json": digest(json.dumps(told, sort_keys=True, default=str).encode())}


WORK = [(name, planned) for name in NAMES for planned in (True, False)]


def in_threads() -> list[Digests]:
    with ThreadPoolExecutor(THREADS) as threads:
        return list(threads.map(lambda work: answers(*work), WORK))


def test_threads_that_begin_a_process_together_do_not_disturb_each_other() -> None:
    code = "import json; from tests.optimizer.test_threads import in_threads; print(json.dumps(in_threads()))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT)
    assert done.stderr == ""
    beside = json.loads(done.stdout)
    assert len({one["json"] for one in beside}) == len(WORK)
    assert beside == [answers(*work) for work in WORK]


WITH_TWO_WORKERS = """
import highspy, optimizer
own = highspy.Highs()
own.setOptionValue("output_flag", False)
own.setOptionValue("threads", 2)
own.addVars(1, [0.0], [1.0])
assert own.run() == highspy.HighsStatus.kOk
catalog = optimizer.load_catalog()
sheet = optimizer.plan(optimizer.load_scenario("scenarios/turkey-week.toml", catalog), catalog)
print(sheet.status, sheet.cost, [(line.name, line.grams) for line in sheet.lines])
"""


def test_who_solves_with_other_threads_beside_it_gets_the_same_plan() -> None:
    """HiGHS refuses to run with another number of workers than the first solve in its thread; that once read as a plan
    for which time ran out."""
    alone = WITH_TWO_WORKERS.replace('"threads", 2', '"threads", 1')
    printed = [
        subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT).stdout
        for code in (alone, WITH_TWO_WORKERS)
    ]
    assert printed[0].startswith("planned 21.14 ")
    assert printed[1] == printed[0]
