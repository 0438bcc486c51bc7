"""What must not go into a cat's food, whatever it is called and whoever enters it."""

import re
import unicodedata
from collections.abc import Collection, Iterable, Sequence

from catalog.records import Caution

# What a name says is not in it, and what is no drink: a beer's dead yeast.
NOT_IN_IT = re.compile(
    r"\b\w+ free\b(?! (?:range|ranging|roaming|run|of|from)\b)|"
    r"\bfree (?:of|from) \w+|\b(?:no|without) \w+|\bbeer yeast\b"
)
LONG = 5  # letters that a word has to have to be found without its accents, or inside another word
INNOCENT = ("grapefruit", "grapeseed", "doughnut", "sourdough", "raising", "archive")


def refusal(name: str, cautions: Iterable[Caution]) -> Caution | None:
    """The caution that refuses a food by its name or id: every word of the caution is a word of the name, with its
    accents or without, or a longer word begins or ends with it ("onionpowder").

    What a name says is not in it ("alcohol-free", "without xylitol") does not count, nor does a beer's dead yeast.
    """
    plain = re.sub(r"[^\w]+|_", " ", _visible(name))
    words = NOT_IN_IT.sub(" ", plain).split()
    bare = [_bare(word) for word in words]
    found = [caution for caution in cautions if caution.level == "refuse" and _is_meant(_wanted(caution), words, bare)]
    return max(found, key=lambda caution: len(_wanted(caution)), default=None)  # what says most says why


def _wanted(caution: Caution) -> list[str]:
    return caution.when.removeprefix("name:").split()


def _is_meant(wanted: Sequence[str], words: Collection[str], bare: Iterable[str]) -> bool:
    """Whether all of the wanted words are there, or a single long one is, begins or ends a word without its accents."""
    if len(wanted) != 1:
        return set(wanted) <= set(words)
    word = _bare(wanted[0])
    return wanted[0] in words or (
        len(word) >= LONG
        and any(
            other == word or ((other.startswith(word) or other.endswith(word)) and not other.startswith(INNOCENT))
            for other in bare
        )
    )


def _visible(name: str) -> str:
    """In small letters of one form, without signs that nobody sees."""
    same = unicodedata.normalize("NFKC", name).casefold()
    return "".join(sign for sign in same if unicodedata.category(sign) != "Cf")


def _bare(word: str) -> str:
    """Without accents."""
    return "".join(sign for sign in unicodedata.normalize("NFD", word) if not unicodedata.combining(sign))
