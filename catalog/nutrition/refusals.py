"""What must not go into a cat's food, whatever it is called and whoever enters it."""

import re
from collections.abc import Iterable

from catalog.records import Caution


def refusal(name: str, cautions: Iterable[Caution]) -> Caution | None:
    """The caution that refuses a food by its name or id: every word of the caution is a word of the name.

    What a name says is not in it ("alcohol-free", "without xylitol") does not count, nor does a beer's dead yeast.
    """
    plain = re.sub(r"[^\w]+|_", " ", name.casefold())
    plain = re.sub(r"\b\w+ free\b|\b(?:no|without) \w+|\bbeer yeast\b", " ", plain)
    words = set(plain.split())
    for caution in cautions:
        if caution.level == "refuse" and set(caution.when.removeprefix("name:").split()) <= words:
            return caution
    return None
