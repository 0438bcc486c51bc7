"""Self-contained HTML pages: the one place that knows Jinja2, and where each page says that it comes from."""

from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib import resources
from typing import Any

from jinja2 import Environment, FunctionLoader, StrictUndefined

from optimizer.render.numbers import amount_text, grams_text, percent_text
from optimizer.sheet import Sheet


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


def page(template: str, **values: Any) -> str:
    """A template of html/ filled in: text is escaped, a value that is missing is an error."""
    return _environment().get_template(template).render(**values)


@cache
def _environment() -> Environment:
    folder = resources.files("optimizer.render") / "html"
    environment = Environment(
        loader=FunctionLoader(lambda name: (folder / name).read_text(encoding="utf-8")),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters |= {"grams": grams_text, "amount": amount_text, "percent": percent_text}
    environment.filters |= {"running": running_text, "tolerance": tolerance_text}
    return environment


def running_text(grams: float) -> str:
    """A total on the scale: whole grams from 1 kg up, tenths below."""
    return f"{grams:.0f} g" if grams >= 999.95 else f"{grams:.1f} g"


def tolerance_text(grams: float) -> str:
    """A tolerance in grams, no finer than a hundredth."""
    return f"± {grams:.0f} g" if grams >= 9.5 else f"± {grams:.1f} g" if grams >= 0.95 else f"± {grams:.2f} g"
