"""Finds foods by the words that people use: ids, names, plurals, and synonyms from a table."""

import re
from collections.abc import Iterator, Mapping
from pathlib import Path

from catalog.mistakes import Mistake, did_you_mean
from catalog.nutrition.refusals import refusal
from catalog.reading.csv_tables import read_table
from catalog.records import Catalog, Food, Synonym

SYNONYM_COLUMNS = "word means note".split()
# Words that say nothing of what a food is.
FILLERS = frozenset("a an and fresh for from in of raw some the with".split())
SHOWN = 3  # foods in a "did you mean"

Meanings = tuple[tuple[str, ...], ...]  # sets of words, one of which has to be there as a whole


def find_foods(catalog: Catalog, words: str) -> list[Food]:
    """The foods in which every one of `words` occurs, in the order of their roles and ids; all without words.

    A plural finds its singular, and a word of the table of synonyms what it stands for ("mince": "ground").
    """
    wanted = [meanings for meanings, _ in _wanted(words, catalog.synonyms)]
    found = [food for food in catalog.foods.values() if _has(_text(food), wanted)]
    return sorted(found, key=lambda food: (food.role == "supplement", food.role, food.id))


def search_notes(catalog: Catalog, words: str) -> list[str]:
    """What to know of what was found: what is refused, where a food only comes near the word, or why there is none."""
    refused = refusal(words, catalog.cautions)
    notes = [note for _, note in _wanted(words, catalog.synonyms) if note]
    return [f"refused: {refused.text.removesuffix('.')}", *notes] if refused else notes


def named_food(text: str, catalog: Catalog) -> Food | None:
    """The food of an id or of a whole printed name, in capitals or not."""
    if text in catalog.foods:
        return catalog.foods[text]
    plain = " ".join(text.casefold().split())
    if plain in catalog.foods:
        return catalog.foods[plain]
    return next((food for food in catalog.foods.values() if food.name.casefold() == plain), None)


def food_hint(text: str, catalog: Catalog) -> str:
    """A sentence naming foods that may be meant: those that all words are found in, else those written alike."""
    words = text.replace("-", " ")
    notes = [f"{note[0].upper()}{note[1:]}." for note in search_notes(catalog, words)]
    found = find_foods(catalog, words) if words.strip() else []
    if not found:
        return " ".join([*notes, did_you_mean(text.replace(" ", "-"), catalog.foods)]).strip()
    listed = [food.id for food in sorted(found, key=lambda food: len(food.id))[:SHOWN]]
    more = f" (`weighout foods {words}` lists {len(found)})" if len(found) > SHOWN else ""
    return " ".join([*notes, f"Did you mean {' or '.join(listed)}?{more}"])


def read_synonyms(path: Path, mistakes: list[Mistake]) -> dict[str, Synonym]:
    """The table of synonyms by word or phrase."""
    found: dict[str, Synonym] = {}
    for row in read_table(path, SYNONYM_COLUMNS, mistakes):
        if row["word"] in found or row["word"] != " ".join(row["word"].lower().split()):
            mistakes.append(row.mistake("word", "each word once, in lower case"))
        if not row["means"] and not row["note"]:
            mistakes.append(row.mistake("note", "why nothing is found"))
        means = tuple(tuple(part.split()) for part in row["means"].split("|") if part.strip())
        found[row["word"]] = Synonym(means, row["note"])
    return found


def check_synonyms(path: Path, catalog: Catalog, mistakes: list[Mistake]) -> None:
    """Adds a mistake for each set of search words that leads to no food."""
    texts = [_text(food) for food in catalog.foods.values()]
    for row in read_table(path, SYNONYM_COLUMNS, []):
        mistakes += [
            row.mistake("means", "search words that find a food")
            for means in catalog.synonyms[row["word"]].means
            if not any(_has(text, [(means,)]) for text in texts)
        ]


def _wanted(words: str, synonyms: Mapping[str, Synonym]) -> Iterator[tuple[Meanings, str]]:
    """What a food must have, for each word or phrase that was asked for, and the note of its synonym."""
    asked = re.sub(r"\bvit\b\.?", "vitamin", re.sub(r"[,;()\"]|'s?\b", " ", words.lower())).split()
    known_phrase = next((form for form in _singulars(" ".join(asked)) if form in synonyms), None)
    if known_phrase is None:
        asked = [word for word in asked if word not in FILLERS] or asked
    start = 0
    while start < len(asked):
        for length in (len(asked) - start, 3, 2, 1):
            phrase = " ".join(asked[start : start + length])
            known = next((form for form in _singulars(phrase) if form in synonyms), None)
            if known:
                # a synonym is no substring ("ox" is no part of "oxide"), but may be a word of a name as well
                synonym = synonyms[known]
                yield (*synonym.means, (f" {phrase} ",)), synonym.note
                start += length
                break
            if length == 1:
                yield tuple((form,) for form in _singulars(phrase)), ""
                start += 1
                break


def _singulars(word: str) -> list[str]:
    """The word, and what it may be the plural of."""
    forms = [word]
    if len(word) > 4 and word.endswith("ies"):
        forms += [word[:-3] + "y", word[:-1]]
    elif len(word) > 4 and word.endswith(("shes", "ches", "xes", "oes", "sses")):
        forms += [word[:-2], word[:-1]]
    elif len(word) > 4 and word.endswith("ves"):
        forms += [word[:-3] + "f", word[:-1]]
    elif len(word) > 3 and word.endswith("s") and not word.endswith("ss"):
        forms.append(word[:-1])
    return forms


def _has(text: str, wanted: list[Meanings]) -> bool:
    return all(any(all(word in text for word in words) for words in meanings) for meanings in wanted)


def _text(food: Food) -> str:
    parts = (food.id, food.id.replace("-", " "), food.name, food.role, food.species, food.description, *food.tags)
    return " " + re.sub(r"[,;()]", " ", " ".join(parts)).lower() + " "
