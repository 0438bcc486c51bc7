"""Imports every food of a Standard Reference release and counts what becomes an entry, what is refused, what fails.

Run by hand:  python tests/benchmarks/import_whole_release.py PATH       (about a minute for 8,789 foods)
"""

# ruff: noqa: T201  a benchmark prints its result

import sys
import tempfile
import time
from pathlib import Path

from catalog.catalog import load_catalog
from catalog.own.writing import add_entries
from catalog.usda.importing import import_foods, open_release


def main(path: Path) -> int:
    catalog, _ = load_catalog()
    release = open_release(path)
    start = time.perf_counter()
    found, mistakes = import_foods(release, list(release.foods.index), catalog)
    read = time.perf_counter()
    kept = [one.entry for one in found if not one.refused]
    with tempfile.TemporaryDirectory() as folder:
        foods, wrong = add_entries(catalog, kept, Path(folder) / "own-foods.toml")
    written = time.perf_counter()
    for mistake in [*mistakes, *wrong]:
        print(mistake)
    print(f"{release.name}: {len(release.foods)} foods, {len(found)} read in {read - start:.0f} s")
    print(f"{len(found) - len(kept)} refused as unsafe, {len(foods)} of {len(kept)} written in {written - read:.0f} s")
    return 0 if len(found) == len(release.foods) and len(foods) == len(kept) else 1


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
