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
