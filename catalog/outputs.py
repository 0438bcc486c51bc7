"""The one writer of files: each is written beside its place and moved there whole, never over what a person made.

A file that stands there already is replaced where this program wrote it and nobody changed it since: what it wrote is
kept in mind by path and checksum, in written.json of the data folder. Any other is refused unless the person says
overwrite.
"""

import json
import os
import tempfile
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from catalog.mistakes import Mistake

MEMORY = "written.json"
MOST_KEPT = 2000  # files that are kept in mind
PLACE = "command line"


@dataclass(frozen=True, slots=True)
class Output:
    """One file to be written: the option that asks for it, where, and what it holds."""

    option: str
    path: Path
    content: bytes


def write_outputs(outputs: Sequence[Output], inputs: Iterable[Path], memory: Path, overwrite: bool) -> list[Mistake]:
    """Writes all of them, or none: then with what stands in the way. `inputs` are files that are read in this run;
    `memory` is the folder that remembers what was written."""
    known = _remembered(memory)
    mistakes = [*_twice(outputs), *(m for one in outputs for m in _in_the_way(one, [*inputs], known, overwrite))]
    if mistakes:
        return mistakes
    waiting: list[tuple[Output, Path, Path]] = []
    try:
        for one in outputs:
            target = Path(os.path.realpath(one.path))
            if target.exists() and not target.is_file():  # a device or a pipe takes what comes
                target.write_bytes(one.content)
            else:
                waiting.append((one, _beside(target, one.content), target))
        while waiting:
            one, written, target = waiting[0]
            written.replace(target)
            waiting.pop(0)
            known.pop(str(target), None)
            known[str(target)] = sha256(one.content).hexdigest()
    except OSError as problem:
        return [Mistake(PLACE, 0, one.option, f'"{one.path}"', f"a file that can be written ({problem.strerror})")]
    finally:
        for _, written, _ in waiting:
            written.unlink(missing_ok=True)
    with suppress(OSError):  # then it is asked about next time
        newest = dict([*known.items()][-MOST_KEPT:])
        replace_file(memory / MEMORY, json.dumps(newest, indent=0).encode())
    return []


def replace_file(path: Path, content: bytes) -> None:
    """Puts a file in the place of another, whole or not at all; through a link, which stays. Raises OSError."""
    target = Path(os.path.realpath(path))
    target.parent.mkdir(parents=True, exist_ok=True)
    written = _beside(target, content)
    try:
        written.replace(target)
    except OSError:
        written.unlink(missing_ok=True)
        raise


def _beside(target: Path, content: bytes) -> Path:
    """The content on the disk, in a file beside its place. Raises OSError, with nothing left behind."""
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name[:40]}-", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        umask = os.umask(0)
        os.umask(umask)
        Path(name).chmod(target.stat().st_mode & 0o777 if target.exists() else 0o666 & ~umask)
    except OSError:
        Path(name).unlink(missing_ok=True)
        raise
    return Path(name)


def _remembered(memory: Path) -> dict[str, str]:
    """Checksums of what was written, by path; none where nothing is remembered."""
    try:
        read = json.loads((memory / MEMORY).read_bytes())
    except (OSError, ValueError):
        return {}
    return {key: value for key, value in read.items() if isinstance(value, str)} if isinstance(read, dict) else {}


def _twice(outputs: Sequence[Output]) -> list[Mistake]:
    """Outputs that would stand in one file; letters in capitals or not are one file to many systems."""
    first: dict[str, Output] = {}
    mistakes = []
    for one in outputs:
        other = first.setdefault(os.path.realpath(one.path).casefold(), one)
        if other is not one:
            allowed = f"a file of its own: {other.option} is to be written there"
            mistakes.append(Mistake(PLACE, 0, one.option, f'"{one.path}"', allowed))
    return mistakes


def _in_the_way(one: Output, inputs: Sequence[Path], known: Mapping[str, str], overwrite: bool) -> list[Mistake]:
    target = Path(os.path.realpath(one.path))
    said = f'"{one.path}"'
    if target.is_dir():
        return [Mistake(PLACE, 0, one.option, f"{said}, a folder", "a file")]
    if not target.parent.is_dir():
        return [Mistake(PLACE, 0, one.option, said, "a file in a folder that exists")]
    if not target.is_file():
        return []
    if any(read.exists() and target.samefile(read) for read in inputs):
        return [Mistake(PLACE, 0, one.option, f"{said}, which is read here", "another file")]
    with suppress(OSError):
        if overwrite or known.get(str(target)) == sha256(target.read_bytes()).hexdigest():
            return []
    allowed = "a file that is not there yet, or one that weighout wrote and nobody changed"
    return [Mistake(PLACE, 0, one.option, f"{said}, which exists", allowed, "--overwrite replaces it.")]
