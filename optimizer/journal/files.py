"""Files that the journal is taken out to and in from, byte for byte."""

from pathlib import Path

from catalog.mistakes import Mistake
from optimizer.errors import InputErrors

ALLOWED = "a text file in UTF-8 that `weighout journal export` wrote"


def read_whole(path: Path) -> str:
    """The text of a file, its ends of lines as they are. Raises InputErrors."""
    try:
        raw = path.read_bytes()
        return raw.decode("utf-16" if raw.startswith((b"\xff\xfe", b"\xfe\xff")) else "utf-8-sig")
    except OSError as problem:
        raise InputErrors([Mistake(str(path), 0, "", problem.strerror or "nothing", ALLOWED)]) from problem
    except UnicodeDecodeError as problem:
        read = f"bytes that are no text, from byte {problem.start + 1} on"
        raise InputErrors([Mistake(str(path), 0, "", read, ALLOWED)]) from problem
