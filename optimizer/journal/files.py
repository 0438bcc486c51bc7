"""Files that the journal is taken out to and in from, byte for byte."""

from pathlib import Path

from catalog.mistakes import Mistake
from optimizer.errors import InputErrors

ALLOWED = "a text file in UTF-8 that `weighout journal export` wrote"


def read_whole(path: Path) -> str:
    """The text of a file, its ends of lines as they are. Raises InputErrors."""
    try:
        return path.read_bytes().decode("utf-8")
    except OSError as problem:
        raise InputErrors([Mistake(str(path), 0, "", problem.strerror or "nothing", ALLOWED)]) from problem
    except UnicodeDecodeError as problem:
        raise InputErrors([Mistake(str(path), 0, "", "bytes that are no text", ALLOWED)]) from problem


def write_new(path: Path, contents: bytes, option: str) -> None:
    """Writes a file that does not exist yet, named by an option. Raises InputErrors, also when it does."""
    try:
        with path.open("xb") as file:
            file.write(contents)
    except FileExistsError as problem:
        allowed = "a file that does not exist yet"
        raise InputErrors([Mistake(str(path), 0, option, "a file that exists", allowed)]) from problem
    except OSError as problem:
        allowed = "a file that can be written"
        raise InputErrors([Mistake(str(path), 0, option, problem.strerror or "nothing", allowed)]) from problem
