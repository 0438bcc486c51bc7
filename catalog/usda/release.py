"""A release of USDA's food composition tables, whichever layout it came in, ready to search and to read from."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import pandas as pd

# USDA's source codes -> kinds of figures here; every other code is a value that was calculated or imputed.
KIND_OF_SOURCE_CODE = {
    "1": "analysed",
    "6": "analysed",
    "12": "analysed",
    "13": "analysed",
    "5": "label",
    "7": "assumed",
}
OTHER_KIND = "calculated"
# A standard deviation above this many times its value is a misprint; the shipped tables leave it out as well.
MOST_SD_PER_VALUE = 5.0


class ReleaseError(ValueError):
    """A folder or file that is no release, or a food that is not in it; `str` says which."""


@dataclass(frozen=True, slots=True)
class Release:
    """A release: what it is called, its foods, and how to read their values.

    `foods` has one row per food by its own number as text (five digits of the NDB number, or the FDC ID), with
    the text columns ndb_no, fdc_id, description, group (USDA's food group code such as 0500) and source; what a
    release does not say is an empty text.

    `values(numbers)` has one row per food number and nutrient number: value per 100 g, unit (g, mg, ug, IU …),
    kind (analysed, calculated, label, assumed), sd and n (NaN where not published). It raises ReleaseError.
    """

    name: str
    foods: pd.DataFrame
    values: Callable[[Sequence[str]], pd.DataFrame]


def matching(foods: pd.DataFrame, words: str) -> pd.DataFrame:
    """The foods whose description holds every one of the words, in any order and case."""
    for word in words.casefold().split():
        foods = foods[foods["description"].str.casefold().str.contains(word, regex=False)]
    return foods


def numbered(release: Release, number: str) -> list[str]:
    """The foods that a person means by a number: an FDC ID, else an NDB number with or without its leading zero."""
    foods, plain = release.foods, number.strip()
    if not plain.isascii() or not plain.isdigit():
        return []
    if (foods["fdc_id"] == plain).any():
        return [str(found) for found in foods.index[foods["fdc_id"] == plain]]
    return [str(found) for found in foods.index[foods["ndb_no"] == plain.lstrip("0").zfill(5)]]


def with_kind_and_spread(values: pd.DataFrame) -> pd.DataFrame:
    """`values` with the columns kind (of source_code) and sd (standard_error x square root of n) made ready.

    No sd where the error is 0, which is how a missing one is printed too, or where it is a misprint.
    """
    kind = values["source_code"].map(KIND_OF_SOURCE_CODE).fillna(OTHER_KIND)
    sd = values["standard_error"] * values["n"] ** 0.5
    sd = sd.where((values["standard_error"] > 0) & (sd <= MOST_SD_PER_VALUE * values["value"]))
    return values.assign(kind=kind, sd=sd, n=values["n"].where(values["n"] > 0))
