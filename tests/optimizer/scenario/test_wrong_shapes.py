"""Values of shapes that nobody would write on purpose: each is told with its field, none is a fault of the program."""

from pathlib import Path

import pytest
from click.testing import CliRunner

from optimizer.cli.main import main

LIVER = '[[on_hand]]\nfood = "beef-liver"\namount = "500 g"\n'
TAURINE = '[[supplements]]\nsupplement = "taurine-powder"\n'


@pytest.mark.parametrize(
    ("text", "options", "told"),
    [
        (f"supplements = 5\n{LIVER}", ["--with", "taurine-powder"], "supplements: read 5"),
        (f"usual = 5\n{LIVER}", ["--without", "beef-liver"], "usual: read 5"),
        ("on_hand = 5\n", ["--with", "kelp-powder"], "on_hand: read 5"),
        (f"{LIVER}{TAURINE}measure = 5\n", [], "measure: read 5"),
        (f"budget = 1{'0' * 5000}\n{LIVER}", [], "thousands of digits"),
        (f"budget = 0x1{'0' * 5000}\n{LIVER}", [], "budget: read a number of"),
        (f"{'.'.join(['a'] * 3000)} = 1\n{LIVER}", [], "levels of tables"),
    ],
    ids=["supplements", "usual", "on_hand", "measure", "digits", "hex", "levels"],
)
def test_it_is_told_by_its_field(text: str, options: list[str], told: str, tmp_path: Path) -> None:
    file = tmp_path / "fridge.toml"
    file.write_text(text)
    done = CliRunner().invoke(main, ["plan", str(file), *options])
    assert done.exit_code == 2, done.output
    assert told in done.output
    assert len(done.output) < 2_000
