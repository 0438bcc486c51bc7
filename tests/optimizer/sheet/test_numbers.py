"""How much there is, in one way everywhere: one figure, or both ends of it."""

import pytest

from optimizer.assess.result import BoneRange, RatioLine
from optimizer.sheet.numbers import ratio_text, there_text


@pytest.mark.parametrize(
    ("low", "high", "maximum", "text"),
    [
        (9.97, 4551.0, None, "9.97 to 4551"),  # kelp without a figure on its label, in a standard without a ceiling
        (9.97, 4551.0, 9000.0, "9.97 to 4551"),
        (0.0, 12.0, None, "0 to 12.0"),
        (10.0, 10.9, None, "10.0"),  # within a tenth
        (10.0, 10.9, 12.0, "10.0"),
        (3.70, 3.80, 3.75, "3.70 to 3.80"),  # the high end is what passes the ceiling: it is told
        (3.80, 3.81, 3.75, "3.80"),
        (5.0, 5.0, None, "5.00"),
        (0.0, 0.0, None, "0"),
    ],
)
def test_both_ends_are_shown_where_they_matter(low: float, high: float, maximum: float | None, text: str) -> None:
    assert there_text(low, high, maximum) == text


def ratio(id_: str, value: float | None) -> RatioLine:
    return RatioLine(id_, id_, value, 1.0, 2.0, "met", "")


def test_a_ratio_that_depends_on_bone_shows_both_ends() -> None:
    bone = BoneRange(2.0, 3.0, 0.84, 1.31)
    assert ratio_text(ratio("calcium-phosphorus", 1.1), bone) == "1.10 (0.840 to 1.31)"
    assert ratio_text(ratio("calcium-phosphorus", 1.1), None) == "1.10"
    assert ratio_text(ratio("calcium-phosphorus", 1.1), BoneRange(2.0, 2.1, 1.08, 1.12)) == "1.10"
    assert ratio_text(ratio("omega6-omega3", 4.0), bone) == "4.00"
    assert ratio_text(ratio("calcium-phosphorus", None), bone) == "no figure"
