"""Self-contained HTML pages: the one place that knows Jinja2."""

from functools import cache
from importlib import resources
from typing import Any

from jinja2 import Environment, FunctionLoader, StrictUndefined

from optimizer.sheet.numbers import amount_text, grams_text, percent_text, running_text, tolerance_text


def page(template: str, **values: Any) -> str:
    """A template of templates/ filled in: text is escaped, a value that is missing is an error."""
    return _environment().get_template(template).render(**values)


@cache
def _environment() -> Environment:
    folder = resources.files("optimizer.render.html") / "templates"
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
