"""Reads TOML together with the line on which each key stands (`tomllib` keeps no positions)."""

import re
import tomllib
from collections.abc import Iterator, Mapping
from math import log10
from pathlib import Path
from typing import Any

from catalog.bounds import MOST_BYTES
from catalog.mistakes import Mistake

Path_ = tuple[str | int, ...]

DEEPEST = 20  # levels of tables and lists in one another
LARGEST = 10**15  # of whole numbers

_HEADER = re.compile(r"^\s*(\[\[?)\s*([^\]#]+?)\s*\]\]?\s*(#.*)?$")
_KEY = re.compile(r"""^\s*((?:[A-Za-z0-9_-]+|"[^"]*"|'[^']*')(?:\s*\.\s*(?:[A-Za-z0-9_-]+|"[^"]*"|'[^']*'))*)\s*=""")
_INLINE_KEY = re.compile(r"[{,]\s*([A-Za-z0-9_-]+)\s*=")


class Lines(Mapping[Path_, int]):
    """Line numbers by path, ("on_hand", 1, "amount"); a path that is unknown answers with its nearest parent's."""

    def __init__(self, known: Mapping[Path_, int]) -> None:
        self._known = dict(known)

    def __getitem__(self, path: Path_) -> int:
        while path and path not in self._known:
            path = path[:-1]
        return self._known.get(path, 0)

    def __iter__(self) -> Any:
        return iter(self._known)

    def __len__(self) -> int:
        return len(self._known)


def read_toml(path: Path, what: str = "a scenario file") -> tuple[dict[str, Any], Lines, list[Mistake]]:
    """The file's contents, where each key stands, and what is wrong with it as a text file or as TOML."""
    allowed = f"{what}: TOML text in UTF-8"
    try:
        raw = path.read_bytes()
        if len(raw) > MOST_BYTES:
            read = f"a file of {len(raw) / 1e6:.1f} MB"
            return {}, Lines({}), [Mistake(str(path), 0, "", read, f"{allowed}, up to {MOST_BYTES / 1e6:.0f} MB")]
        text = raw.decode("utf-16" if raw.startswith((b"\xff\xfe", b"\xfe\xff")) else "utf-8-sig")
    except OSError as problem:
        return {}, Lines({}), [Mistake(str(path), 0, "", problem.strerror or "nothing", allowed)]
    except UnicodeDecodeError as problem:
        read = f"bytes that are no text, from byte {problem.start + 1} on"
        return {}, Lines({}), [Mistake(str(path), 0, "", read, allowed)]
    if "\0" in text:
        return {}, Lines({}), [Mistake(str(path), 0, "", "bytes that are no text", allowed)]
    if not text.strip():
        return {}, Lines({}), [Mistake(str(path), 0, "", "an empty file", allowed)]
    return parse_toml(text, str(path))


def parse_toml(text: str, file: str) -> tuple[dict[str, Any], Lines, list[Mistake]]:
    """The contents of TOML text, where each key stands, and where it is no TOML; `file` is named in mistakes."""
    try:
        data = tomllib.loads(text)
    except (ValueError, RecursionError) as problem:  # ValueError: no TOML, or a number of thousands of digits
        message = re.sub(r"\s*\(at .*\)$", "", str(problem))
        message = "a number of thousands of digits" if "string conversion" in message else message
        position = re.search(r"at line (\d+), column (\d+)", str(problem))
        line = int(position[1]) if position else len(text.splitlines())
        shown = text.splitlines()[line - 1].strip()[:60] if 0 < line <= len(text.splitlines()) else ""
        return {}, Lines({}), [Mistake(file, line, "", f"{shown!r} ({message})", "valid TOML")]
    lines = Lines(_line_numbers(text))
    mistakes = [Mistake(file, lines[path], _written(path), read, allowed) for path, read, allowed in _beyond(data)]
    return ({} if mistakes else data), lines, mistakes


def _beyond(data: dict[str, Any]) -> Iterator[tuple[Path_, str, str]]:
    """What no file of ours has any use for, and what would choke on it later: its path, what was read, what may be."""
    waiting: list[tuple[Path_, Any]] = [((), data)]
    while waiting:
        path, value = waiting.pop()
        if isinstance(value, dict | list):
            if len(path) == DEEPEST:
                yield path, f"more than {DEEPEST} levels", f"at most {DEEPEST} levels of tables and lists"
                continue
            inside = value.items() if isinstance(value, dict) else enumerate(value)
            waiting += [((*path, key), each) for key, each in inside]
        elif isinstance(value, int) and abs(value) > LARGEST:
            yield path, f"a number of {int(log10(abs(value))) + 1} digits", f"a number of at most {LARGEST:.0e}"


def _written(path: Path_) -> str:
    return ".".join(str(key) for key in path[:DEEPEST] if isinstance(key, str))[:60]


def _line_numbers(text: str) -> dict[Path_, int]:
    known: dict[Path_, int] = {}
    counts: dict[Path_, int] = {}
    table: Path_ = ()
    array: Path_ = ()
    for number, line in enumerate(text.splitlines(), start=1):
        if header := _HEADER.match(line):
            table = _table_path(_words(header[2]), counts, array=header[1] == "[[")
            known.setdefault(table, number)
            array = ()
        elif key := _KEY.match(line):
            here = (*table, *_words(key[1]))
            known.setdefault(here, number)
            array = here if line.rstrip().endswith("[") else ()
            _inline_keys(line[key.end() :], here, number, known)
        elif array and "{" in line:
            # an array of inline tables over several lines: one entry a line
            position = sum(1 for path in known if path[:-1] == array and isinstance(path[-1], int))
            known[(*array, position)] = number
            _inline_keys(line, (*array, position), number, known)
    return known


def _table_path(words: list[str], counts: dict[Path_, int], array: bool) -> Path_:
    """The path that a header opens: [foods.amounts] belongs to the last of the [[foods]] before it."""
    path: Path_ = ()
    for position, word in enumerate(words):
        path = (*path, word)
        if array and position == len(words) - 1:
            counts[path] = counts.get(path, -1) + 1
        if path in counts:
            path = (*path, counts[path])
    return path


def _inline_keys(text: str, here: Path_, number: int, known: dict[Path_, int]) -> None:
    for match in _INLINE_KEY.finditer(text):
        known.setdefault((*here, match[1]), number)


def _words(dotted: str) -> list[str]:
    return [word.strip().strip("\"'") for word in dotted.split(".")]
