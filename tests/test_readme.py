"""README.md and DEVELOPERS.md say what is true: outputs, keys, steps, commands, scenarios, modules."""

import re
import shlex
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import NamedTuple

import click
import pytest
from click.testing import CliRunner
from pydantic import BaseModel

from catalog.nutrition.composition import ENERGY_METHODS
from catalog.nutrition.guards import COMMON_SHARES, MOST_TIMES_THE_TARGET
from catalog.own.schema import OwnFoodTable
from catalog.records import Catalog
from optimizer.cli.main import main
from optimizer.model.guards import TOXIC_TRACES, TRACES
from optimizer.model.objectives import SMALL_COIN
from optimizer.scenario.aims import AIMS
from optimizer.scenario.cats_schema import CatTable, PortionsTable
from optimizer.scenario.items import DEFAULT_CUT_STEPS, DEFAULT_STEPS
from optimizer.scenario.read import load_scenario
from optimizer.scenario.records import DEFAULT_NON_MEAT_CAP
from optimizer.scenario.schema import EntryTable, LimitTable, OnHandTable, ScenarioTable, SupplementTable
from optimizer.scenario.steps import MOST_OF_ONE_SUPPLEMENT

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
CUT = "[…]"  # a line of an excerpt: here lines were left out


class Session(NamedTuple):
    """A command in the README, the lines shown of what it prints, and its exit code."""

    command: str
    shown: list[str]
    code: int


def blocks(text: str, language: str) -> list[str]:
    return re.findall(rf"(?ms)^```{language}\n(.*?)^```$", text)


def sessions(text: str) -> Iterator[Session]:
    for block in blocks(text, "console"):
        parts = [part.splitlines() for part in re.split(r"(?m)^\$ ", block)[1:]]
        codes = [int(part[1]) if part[0] == "echo $?" else None for part in parts] + [None]
        for part, code in zip(parts, codes[1:], strict=True):
            if part[0] != "echo $?":
                yield Session(part[0], part[1:], code or 0)


def section(text: str, heading: str) -> str:
    """What stands below a heading, up to the next one of its level or above; blocks of code left out."""
    level = heading.partition(" ")[0]
    text = re.sub(r"(?ms)^```.*?^```$", "", text)
    _, found, rest = f"\n{text}".partition(f"\n{heading}\n")
    assert found, f"there is no heading {heading!r}"
    return re.split(rf"\n#{{1,{len(level)}}} ", rest)[0]


def rows(text: str) -> list[list[str]]:
    """The cells of each row of the tables in a text, without their headings."""
    tables = [match[0].splitlines()[2:] for match in re.finditer(r"(?m)(?:^\|.*\n)+", text + "\n")]
    return [[cell.strip() for cell in line.strip("|").split("|")] for table in tables for line in table]


def quoted(cell: str) -> list[str]:
    return re.findall(r"`([^`]+)`", cell)


def difference(shown: list[str], printed: list[str]) -> tuple[str, str] | None:
    """The first line of an excerpt that is not as printed, with what is printed in its place; None if all are.

    Lines follow one another without a gap except where CUT stands.
    """
    chunks: list[list[str]] = [[]]
    for line in shown:
        if line == CUT:
            chunks.append([])
        else:
            chunks[-1].append(line)
    ends = [*printed, "(the end)"]
    here = 0
    for number, chunk in enumerate(chunks):
        if not chunk:
            continue
        last = len(printed) - len(chunk)
        starts = range(here, here + 1) if number == 0 else range(here, max(here, last) + 1)
        if number == len(chunks) - 1 and number > 0:
            starts = range(max(here, last), max(here, last) + 1)
        fits = {start: _alike(chunk, printed[start:]) for start in starts}
        start = max(fits, key=lambda s: fits[s])
        if fits[start] < len(chunk):
            return chunk[fits[start]], ends[min(start + fits[start], len(printed))]
        here = start + len(chunk)
    return None if shown[-1:] == [CUT] or here == len(printed) else ("(the end)", ends[here])


def _alike(one: list[str], other: list[str]) -> int:
    """How many lines are the same from the first one on."""
    same = [a == b for a, b in zip(one, other, strict=False)]
    return same.index(False) if False in same else len(same)


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with the demo scenarios and the files that the README writes out."""
    (tmp_path / "scenarios").symlink_to(ROOT / "scenarios")
    for block in blocks(README, "toml"):
        name = re.match(r"# ([\w-]+\.toml)\n", block)
        if name:
            (tmp_path / name[1]).write_text(block, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("WEIGHOUT_DATA", str(tmp_path / "data"))
    monkeypatch.delenv("WEIGHOUT_JOURNAL", raising=False)
    return tmp_path


@pytest.mark.parametrize("session", [pytest.param(s, id=s.command) for s in sessions(README)])
def test_each_excerpt_is_what_the_command_prints(here: Path, session: Session) -> None:
    runner = CliRunner(env={"FORCE_COLOR": None, "TTY_COMPATIBLE": None})
    result = runner.invoke(main, shlex.split(session.command)[1:])
    assert result.exception is None or isinstance(result.exception, SystemExit)
    assert result.exit_code == session.code
    found = difference(session.shown, result.output.splitlines())
    if found:
        pytest.fail("README.md shows\n{}\nbut this is printed\n{}".format(*found), pytrace=False)


def test_an_excerpt_that_was_made_up_is_found_out() -> None:
    printed = ["one", "two", "three"]
    assert difference(printed, printed) is None
    assert difference(["one", CUT, "three"], printed) is None
    assert difference(["one", "three"], printed) == ("three", "two")
    assert difference(["two", CUT], printed) == ("two", "one")
    assert difference([CUT, "two"], printed) == ("two", "three")
    assert difference(["one"], printed) == ("(the end)", "two")
    assert difference([CUT, "three", CUT, "two", CUT], printed) == ("two", "(the end)")
    assert difference([CUT, "four", CUT], printed) == ("four", "one")


def test_the_readme_shows_every_kind_of_answer() -> None:
    assert {session.code for session in sessions(README)} == {0, 1, 2}


def test_two_commands_stand_on_a_line_each_and_need_nothing_but_python() -> None:
    sheet, tests = re.findall(r"(?m)^python3 -m venv .*$", README)
    scenario = re.search(r"&& \.venv/bin/weighout plan (scenarios/\S+)$", sheet)
    assert scenario
    assert (ROOT / scenario[1]).is_file()
    assert tests.endswith("-m pytest -q -n auto")


def keys(model: type[BaseModel]) -> set[str]:
    return {field.alias or name for name, field in model.model_fields.items()}


BOTH = keys(EntryTable) - {"food"}


@pytest.mark.parametrize(
    ("heading", "expected"),
    [
        ("### The batch", keys(ScenarioTable)),
        ("### What is on hand: `[[on_hand]]`", keys(OnHandTable) - BOTH),
        ("### Supplements: `[[supplements]]`", keys(SupplementTable) - BOTH),
        ("### Both kinds of entry", BOTH),
        ("### Limits of your own: `[[limits]]`", keys(LimitTable)),
        ("### The cats: `[[cats]]`", keys(CatTable)),
        ("### The portions: `[portions]`", keys(PortionsTable)),
        ("## Your own foods and labels", keys(OwnFoodTable)),
    ],
)
def test_the_readme_lists_every_key_of_a_file_and_no_other(heading: str, expected: set[str]) -> None:
    listed = [key for row in rows(section(README, heading)) for key in quoted(row[0])]
    assert sorted(listed) == sorted(expected)


@pytest.mark.parametrize("key", ["standard", "life_stage", "aim", "energy"])
def test_the_readme_lists_every_choice_and_its_default(key: str, catalog: Catalog) -> None:
    choices = {
        "standard": {id_ for id_, _ in catalog.standards},
        "life_stage": {stage for _, stage in catalog.standards},
        "aim": set(AIMS),
        "energy": set(ENERGY_METHODS),
    }
    [row] = [row for row in rows(section(README, "### The batch")) if quoted(row[0]) == [key]]
    assert set(quoted(row[1])) == choices[key]
    option = {parameter.name: parameter.type for parameter in main.commands["plan"].params}.get(key)
    assert not isinstance(option, click.Choice) or set(option.choices) == choices[key]
    default = ScenarioTable.model_fields[key].default  # None: the standard says
    assert quoted(row[2]) == ([default] if default else [])


def test_the_readme_gives_the_steps_that_hold_without_one() -> None:
    steps = dict(rows(section(README, "### Both kinds of entry").partition("smallest steps are")[2]))
    own = {unit: step for unit, step in DEFAULT_CUT_STEPS.items() if step != DEFAULT_STEPS[unit]}
    expected = {**DEFAULT_STEPS, **{f"{unit}, for what is on hand": step for unit, step in own.items()}}
    assert {unit: Fraction(step) for unit, step in steps.items()} == expected


def test_the_readme_gives_the_numbers_of_common_practice() -> None:
    assert f"| {100 * DEFAULT_NON_MEAT_CAP:g} %, common practice |" in README
    assert f"never more than {float(100 * MOST_OF_ONE_SUPPLEMENT):g} % of the mass" in README
    assert f"the guard is {MOST_TIMES_THE_TARGET:g} times the standard's own target" in README
    bone, liver, organs = (f"{100 * COMMON_SHARES[part]:g} %" for part in ("bone", "liver", "secreting-organ"))
    words = f"bone is at most {bone} of the meat, liver {liver} and secreting organs"
    for heading in ("## How a plan is chosen", "### At the store"):
        text = " ".join(section(README, heading).split())
        assert f"{words} (liver, kidney, spleen, pancreas, thymus) {organs}" in text
    chosen = " ".join(section(README, "## How a plan is chosen").split())
    assert f"at most {100 * TRACES:g} % of it, or {100 * TOXIC_TRACES:g} % where it is toxic in excess" in chosen
    assert f"Costs within {SMALL_COIN:g} of each other are the same" in chosen


def commands(group: click.Group, path: str = "weighout") -> Iterator[tuple[str, click.Command]]:
    context = click.Context(group)
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        assert command is not None
        if not command.hidden:
            yield f"{path} {name}", command
        if isinstance(command, click.Group):
            yield from commands(command, f"{path} {name}")


@pytest.mark.parametrize(("path", "command"), [("weighout", main), *commands(main)])
def test_every_command_and_option_has_help_and_stands_in_the_readme(path: str, command: click.Command) -> None:
    assert command.help
    assert path in README
    for parameter in command.get_params(click.Context(command, help_option_names=["--help"])):
        if isinstance(parameter, click.Option):
            assert parameter.help, f"{path} {parameter.opts} has no help"
            assert f"`{parameter.opts[-1]}" in README or f" {parameter.opts[-1]}" in README, parameter.opts


def test_every_demo_scenario_is_listed_as_it_is_and_ends_as_the_readme_says(here: Path, catalog: Catalog) -> None:
    listed = {quoted(row[0])[0]: row[2:] for row in rows(section(README, "### The demo scenarios"))}
    assert sorted(listed) == sorted(path.name for path in (ROOT / "scenarios").glob("*.toml"))
    for name, told in listed.items():
        scenario = load_scenario(here / "scenarios" / name, catalog)
        code = CliRunner().invoke(main, ["plan", f"scenarios/{name}"]).exit_code
        outcome = {0: "every limit is met", 1: "out of reach"}[code]
        assert told == [scenario.standard.id, scenario.standard.life_stage, scenario.aim, outcome], name


def test_developers_are_sent_to_files_that_are_there() -> None:
    sent = {name for row in rows(section(DEVELOPERS, "## The house")) for name in quoted(row[1]) if "/" in name}
    missing = [name for name in sent if not (ROOT / name).exists() and not (ROOT / "optimizer" / name).exists()]
    assert sent
    assert missing == []


def test_developers_find_every_dependency_with_its_reason() -> None:
    project = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    named = set(re.findall(r'(?m)^    "([a-z0-9-]+)(?:[><=!].*)?",', project))
    listed = [name for row in rows(section(DEVELOPERS, "## Dependencies")) for name in quoted(row[0])]
    assert sorted(listed) == sorted(named)
