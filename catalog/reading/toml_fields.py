"""TOML tables at the border: pydantic fields that tell every mistake with its line, what was read and is allowed."""

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from pydantic import BaseModel, BeforeValidator, ConfigDict, ValidationError
from pydantic_core import ErrorDetails

from catalog.mistakes import Mistake, did_you_mean
from catalog.reading.toml_lines import Lines, Path_


class NotAllowed(ValueError):
    """A field's text that cannot be used: what could stand there, and a likely intention."""

    def __init__(self, message: str, allowed: str, hint: str = "") -> None:
        self.allowed, self.hint = allowed, hint
        super().__init__(message)


class TableFields(BaseModel):
    """A table of a file: a misspelt key is a mistake, never a silent default."""

    model_config = ConfigDict(extra="forbid", frozen=True)


Table = TypeVar("Table", bound=BaseModel)


def with_context(read: Callable[[Any, Mapping[str, Any]], Any]) -> BeforeValidator:
    """A field that is read with what `read_fields` was given as context, such as the catalog."""

    def validate(value: Any, info: Any) -> Any:
        return read(value, info.context)

    return BeforeValidator(validate)


def short_text(value: Any) -> str:
    """A text of 1 to 200 characters on one line, stripped. Raises NotAllowed."""
    if isinstance(value, str) and value.strip() and len(value) <= 200 and value.isprintable():
        return value.strip()
    raise NotAllowed("no text", "a text of 1 to 200 characters on one line")


def read_fields(
    model: type[Table], raw: Mapping[str, Any], where: Path_, file: str, lines: Lines, context: Mapping[str, Any]
) -> tuple[Table, list[Mistake]]:
    """A table with every field that can be read, and a mistake for each one that cannot."""
    mistakes: list[Mistake] = []
    usable = dict(raw)
    try:
        return model.model_validate(usable, context=context), mistakes
    except ValidationError as problem:
        for error in problem.errors():
            key = str(error["loc"][0])
            usable.pop(key, None)
            mistakes.append(_mistake(error, key, model, where, file, lines))
    mistakes = list({(m.line, m.field): m for m in mistakes}.values())
    return model.model_validate(usable, context=context), mistakes


def _mistake(error: ErrorDetails, key: str, model: type[BaseModel], where: Path_, file: str, lines: Lines) -> Mistake:
    path = (*where, key)
    read = shown(error["input"])
    keys = [field.alias or name for name, field in model.model_fields.items()]
    if error["type"] == "extra_forbidden":
        return Mistake(file, lines[path], field_name(path), f'the key "{key}"', _listed(keys), did_you_mean(key, keys))
    cause = error.get("ctx", {}).get("error")
    if cause is not None and hasattr(cause, "allowed"):
        return Mistake(file, lines[path], field_name(path), f"{read} ({cause})", cause.allowed, cause.hint)
    if error["type"] == "literal_error":
        expected = str(error["ctx"]["expected"]).replace("'", "")
        hint = did_you_mean(str(error["input"]), expected.replace(" or ", ", ").split(", "))
        return Mistake(file, lines[path], field_name(path), read, expected, hint)
    return Mistake(file, lines[path], field_name(path), read, "a text in quotation marks")


def _listed(keys: list[str]) -> str:
    return "the keys " + ", ".join(keys)


def field_name(path: Path_) -> str:
    """A path as a person would point at it: on_hand[2].amount, counting from 1."""
    text = ""
    for step in path:
        text += f"[{step + 1}]" if isinstance(step, int) else f".{step}" if text else step
    return text


def shown(value: Any) -> str:
    """What was read, short enough for a message."""
    text = f'"{value}"' if isinstance(value, str) else str(value)
    return text if len(text) <= 80 else text[:77] + "…" + ('"' if isinstance(value, str) else "")
