"""A person's own food from options, and by asking for what they leave open."""

from functools import partial
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from catalog.records import Catalog

MEAT_ROLES = ("cut", "organ", "bone", "prey", "egg", "fish", "shellfish", "fat")


def asked_for(given: dict[str, Any], catalog: "Catalog") -> dict[str, Any]:
    """The entry as its file will have it: from options, and by asking for what is missing."""

    def text(key: str, question: str, default: str | None = None) -> str:
        if given[key]:
            return str(given[key])
        return str(click.prompt(question, default=default, err=True, value_proc=partial(_right, catalog, key)))

    entry: dict[str, Any] = {"id": text("id", "Id, lower-case words joined by hyphens")}
    entry["name"] = text("name", "Name")
    if given["like"]:
        entry |= {key: given[key] for key in ("like", "role", "counts_as", "per") if given[key]}
    else:
        entry["role"] = text("role", "Role (cut, organ, egg, fish, oil, supplement, …)", "supplement")
        default = "meat" if entry["role"] in MEAT_ROLES else "non-meat"
        entry["counts_as"] = text("counts_as", "Counts as (meat or non-meat)", default)
    amounts = _pairs("--amount", given["amounts"])
    in_servings = [amount for amount in amounts.values() if "%" not in amount and "/" not in amount]
    if not given["like"] and (given["per"] or in_servings or not amounts):
        entry["per"] = text("per", 'The label\'s amounts are in, such as "2 capsules (1.3 g)" or "100 g"')
    if not given["like"] and not amounts:
        amounts = _ask_amounts(catalog)
    entry |= {"tags": list(given["tags"]), "note": given["note"]}
    entry |= {"amounts": amounts, "measures": _pairs("--measure", given["measures"])}
    return {key: value for key, value in entry.items() if value}


def _right(catalog: "Catalog", key: str, answer: str) -> str:
    """An answer that can be used; UsageError, upon which click asks again, for any other."""
    from catalog.own.writing import answer_mistakes

    mistakes = answer_mistakes(catalog, **{key: answer.strip()})
    if mistakes:
        raise click.UsageError("\n".join(map(str, mistakes)))
    return answer.strip()


def _ask_amounts(catalog: "Catalog") -> dict[str, str]:
    """Amounts, one a line, until an empty one."""
    from catalog.own.writing import answer_mistakes

    def right(answer: str) -> dict[str, str]:
        pairs = _pairs("The answer", [answer] if answer.strip() else [])
        mistakes = answer_mistakes(catalog, amounts=pairs) if pairs else []
        if mistakes:
            raise click.UsageError("\n".join(map(str, mistakes)))
        return pairs

    amounts: dict[str, str] = {}
    question = "Amount, such as taurine = 1000 mg (empty: that is all)"
    while pairs := click.prompt(question, default="", show_default=False, err=True, value_proc=right):
        amounts |= pairs
    return amounts


def _pairs(option: str, written: Any) -> dict[str, str]:
    """NUTRIENT="VALUE UNIT" as a dict; each name once."""
    pairs: dict[str, str] = {}
    for text in written:
        name, equals, value = (part.strip() for part in text.partition("="))
        if not equals or not name or not value:
            raise click.UsageError(f'{option} {text!r} is no NAME="VALUE UNIT", such as taurine="1000 mg".')
        if name in pairs:
            raise click.UsageError(f"{option} names {name} twice.")
        pairs[name] = value.strip('"')
    return pairs
