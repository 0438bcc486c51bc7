"""Where each key of a TOML text stands."""

from catalog.reading.toml_lines import parse_toml

TEXT = """title = "x"
[[foods]]
id = "a"
[foods.amounts]
taurine = "1 g"
"odd key" = "2 g"

[[foods]]
id = "b"
amounts = { zinc = "1 mg" }
[foods.measures]
tsp = "4 g"
[plain]
key = 1
"""


def test_a_table_of_an_array_belongs_to_its_last_entry() -> None:
    _, lines, mistakes = parse_toml(TEXT, "x.toml")
    assert mistakes == []
    assert lines[("foods", 0)] == 2
    assert lines[("foods", 0, "amounts", "taurine")] == 5
    assert lines[("foods", 0, "amounts", "odd key")] == 6
    assert lines[("foods", 1, "id")] == 9
    assert lines[("foods", 1, "amounts", "zinc")] == 10
    assert lines[("foods", 1, "measures", "tsp")] == 12
    assert lines[("plain", "key")] == 14


def test_an_unknown_path_answers_with_its_nearest_parent() -> None:
    _, lines, _ = parse_toml(TEXT, "x.toml")
    assert lines[("foods", 1, "measures", "cup")] == 11
    assert lines[("foods", 1, "name")] == 8
    assert lines[("nowhere",)] == 0
