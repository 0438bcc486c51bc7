"""What a file was made from, as each file says it."""

from dataclasses import dataclass
from datetime import date

from optimizer.sheet.sheet import Sheet


@dataclass(frozen=True, slots=True)
class Origin:
    """What a file was made from: scenario, catalog version, program version, and the day it was made."""

    scenario: str
    catalog_version: str
    program: str
    made: date

    @property
    def text(self) -> str:
        """In one line."""
        return f"{self.program}; scenario {self.scenario}; catalog {self.catalog_version}; made {self.made.isoformat()}"


def origin_of(sheet: Sheet, program: str, made: date) -> Origin:
    """Where a file of this sheet comes from."""
    return Origin(sheet.file, sheet.catalog_version, program, made)
