"""Folders are layers: what one imports stands above it. Each heavy dependency is known in one room only.

`python tests/test_layers.py` prints the drawing that DEVELOPERS.md shows.
"""

import ast
from collections.abc import Iterator
from itertools import chain
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]

# From top to bottom; a folder or file imports what stands before it, and of its own folder what it likes.
LAYERS = {
    "catalog": "catalog",
    "scenario": "errors scenario",
    "assess": "assess",  # before the model: what the solver finds is judged by code that knows no arrays
    "sureness": "sureness",
    "model": "model",
    "sheet": "sheet",
    "market": "market",
    "explain": "explain",
    "plan": "planning checking comparing tradeoff pooling shopping",
    "journal": "journal",
    "amend": "more_meat amending repeating",
    "render": "render",
    "cli": "cli",
}
# The same within folders of folders: `.` are the files beside the folders; what bars join does not know each other.
INSIDE = {
    "catalog": [
        "bounds|variation|kinds|treatments",
        "records|mistakes",
        "outputs",
        "units",
        "nutrition",
        "reading",
        "catalog",
        "own|prices|queries",
        "usda",
    ],
    "optimizer.render": [".", "text|json|html|files", "papers", "market_papers"],
    "optimizer.cli": ["common", "options", ".", "main"],
}
ROOMS = {
    "pulp": "optimizer.model.live",
    "highspy": "optimizer.model.live optimizer.model.solver",
    "sqlite3": "optimizer.journal.store",
    "pint": "catalog.units.sizes",
    "pandas": "catalog.usda",
    "pydantic": "catalog.reading.toml_fields catalog.own optimizer.scenario optimizer.journal.plan_files",
    "platformdirs": "catalog.own.overlay",
    "jinja2": "optimizer.render.html.pages",
    "matplotlib": "optimizer.render.files.charts",
    "openpyxl": "optimizer.render.files.workbook",
    "icalendar": "optimizer.render.files.thaw_calendar",
    "rich": "optimizer.render.text optimizer.cli.common",
    "click": "optimizer.cli",
}


def module(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


FILES = {module(path): path for path in chain.from_iterable((ROOT / p).rglob("*.py") for p in ("catalog", "optimizer"))}


def imports(path: Path) -> set[str]:
    """The modules that a file imports anywhere in it, also those that are imported as names of a folder."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            names = {f"{node.module}.{alias.name}" for alias in node.names}
            found |= (names & FILES.keys()) or {node.module}
    return found


def within(name: str, folder: str) -> bool:
    return name == folder or name.startswith(folder + ".")


UNITS = [unit for units in LAYERS.values() for unit in units.split()]


def unit(name: str) -> str:
    """The folder or file of LAYERS that a module is in; "" for the library's own face, which any front may import."""
    return "catalog" if within(name, "catalog") else name.partition(".")[2].partition(".")[0]


def layer(name: str) -> str:
    return next((layer for layer, units in LAYERS.items() if unit(name) in units.split()), "")


def arrows() -> Iterator[tuple[str, str]]:
    """Each import of one of our modules by another."""
    for name, path in sorted(FILES.items()):
        yield from ((name, other) for other in sorted(imports(path)) if other in FILES and unit(name) and unit(other))


def test_every_folder_and_file_has_a_place() -> None:
    assert {unit(name) for name in FILES} - {""} == set(UNITS)


def test_nothing_is_imported_from_below() -> None:
    backwards = [(a, b) for a, b in arrows() if UNITS.index(unit(b)) > UNITS.index(unit(a))]
    assert backwards == []


def places(folder: str) -> Iterator[tuple[str, int, str]]:
    """Module, row and part of each module of a folder by INSIDE."""
    rows = [row.split("|") for row in INSIDE[folder]]
    row_of = {part: number for number, row in enumerate(rows) for part in row}
    for name in FILES:
        if within(name, folder) and name != folder:
            part = name.removeprefix(folder + ".").partition(".")[0]
            part = part if part in row_of else "."
            yield name, row_of[part], part


@pytest.mark.parametrize("folder", INSIDE)
def test_nor_within_a_folder_of_folders(folder: str) -> None:
    place = {name: (row, part) for name, row, part in places(folder)}
    inner = [(a, b) for a, b in arrows() if a in place and b in place]
    backwards = [
        (a, b)
        for a, b in inner
        if place[b][0] > place[a][0] or (place[b][0] == place[a][0] and place[a][1] != place[b][1])
    ]
    assert backwards == []


def test_each_dependency_has_one_room() -> None:
    strangers = [
        (name, found)
        for name, path in FILES.items()
        for found in imports(path)
        for room in [ROOMS.get(found.split(".")[0])]
        if room is not None and not any(within(name, one) for one in room.split())
    ]
    assert strangers == []


def doc(name: str) -> list[str]:
    return (ast.get_docstring(ast.parse(FILES[name].read_text(encoding="utf-8"))) or "").split("\n\n")


def folders() -> list[str]:
    return [name for name, path in sorted(FILES.items()) if path.name == "__init__.py"]


@pytest.mark.parametrize("folder", folders())
def test_every_folder_says_what_is_in_it_and_what_is_not(folder: str) -> None:
    assert len(doc(folder)) > 1


def drawing() -> str:
    """The layers with what each imports, and the tree with every file: one page of text."""
    numbers = {name: number for number, name in enumerate(LAYERS, 1)}
    uses = {name: {layer(b) for a, b in arrows() if layer(a) == name} - {name} for name in LAYERS}
    lines = [
        f"{numbers[name]:>6} {name:<10}" + "".join(f"{n:>3}" if other in uses[name] else "  ·" for other, n in before)
        for name in LAYERS
        for before in [[(other, n) for other, n in numbers.items() if n < numbers[name]]]
    ]
    return "\n".join([*(line.rstrip() for line in lines), "", *tree("catalog", 4), "", *tree("optimizer", 4)]) + "\n"


def tree(folder: str, indent: int) -> Iterator[str]:
    """A folder with its files, and the folders in it, in the order of the layers."""
    below = [name for name in FILES if name.rpartition(".")[0] == folder]
    files = [name.rpartition(".")[2] for name in below if FILES[name].name != "__init__.py"]
    files.sort(key=lambda f: (UNITS.index(f) if folder == "optimizer" else 0, f))
    name = f"{' ' * indent}{folder.rpartition('.')[2]}/"
    line = f"{name:<18} "
    for file in files:
        if len(line) + len(file) > 119:
            yield line.rstrip()
            line = " " * 19
        line += f"{file} "
    yield line.rstrip()
    inner = [name for name in below if FILES[name].name == "__init__.py"]
    for one in sorted(inner, key=lambda n: (UNITS.index(unit(n)), n)):
        yield from tree(one, indent + 2)


def test_developers_see_the_folders_and_arrows_as_they_are() -> None:
    shown = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert drawing() in shown, "DEVELOPERS.md: put in what `python tests/test_layers.py` prints"


if __name__ == "__main__":
    print(drawing(), end="")  # noqa: T201
