"""Mistakes in what a person wrote, as values: collected over a whole run, then shown together."""

import difflib
from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Mistake:
    """One thing that cannot be used as written.

    `file` and `line` say where (line 0: the whole file), `field` which entry ("on_hand[2].amount"),
    `read` what stood there, `allowed` what could stand there, `hint` a likely intention ("did you mean …?").
    """

    file: str
    line: int
    field: str
    read: str
    allowed: str
    hint: str = ""

    def __str__(self) -> str:
        where = f"{self.file}:{self.line}" if self.line else self.file
        field = f"{self.field}: " if self.field else ""
        hint = f" {self.hint}" if self.hint else ""
        return f"{where}: {field}read {self.read}; allowed: {self.allowed}.{hint}"


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """A sentence naming up to three close entries of `known`, or an empty text when nothing is close."""
    pool = sorted(known)
    close = difflib.get_close_matches(word.lower(), pool, n=3, cutoff=0.6)
    close += [k for k in pool if len(word) > 2 and word.lower() in k and k not in close][: 3 - len(close)]
    return f"Did you mean {' or '.join(close)}?" if close else ""
