"""The commands `foods`: lists and searches them, shows one, adds and imports a person's own, audits the tables."""

import sys
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from optimizer.cli.common import answers_for_errors, as_json, load_all, print_page
from optimizer.cli.own_food import asked_for

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from catalog.records import Catalog, Food
    from catalog.usda.release import Release

UNFOLDED = 400  # columns of a list into a pipe: one food, one line, for whoever searches in it


class SearchGroup(click.Group):
    """A group in which a first word that is no command is a word to search for."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Sends what names no command to the command `list`."""
        first = next((arg for arg in args if not arg.startswith("-")), None)
        if first not in self.commands:
            args = ["--help"] if set(args) & set(ctx.help_option_names) else ["list", *args]
        return super().parse_args(ctx, args)


@click.group(cls=SearchGroup, subcommand_metavar="[SEARCH]... | COMMAND [ARGS]...")
def foods() -> None:
    """List the foods and supplements that a scenario can name; words to SEARCH for narrow the list.

    \b
    weighout foods                    all of them
    weighout foods turkey             those with this word
    weighout foods show turkey-heart  every figure of one
    """


@foods.command("list", hidden=True)
@click.argument("search", nargs=-1)
@as_json
@answers_for_errors
def list_(search: tuple[str, ...], as_json: bool) -> None:
    """List the foods in which every word of SEARCH occurs."""
    from catalog.reading.names import find_foods, search_notes

    catalog, words = load_all(None), " ".join(search)
    found = find_foods(catalog, words)
    if as_json:
        from optimizer.render.json.foods import foods_json

        click.echo(foods_json(found))
    else:
        from optimizer.render.text.foods import foods_text

        print_page(partial(foods_text, notes=search_notes(catalog, words)), found, piped_width=UNFOLDED)


@foods.command()
@click.argument("id_", metavar="ID")
@as_json
@answers_for_errors
def show(id_: str, as_json: bool) -> None:
    """Print every figure of a food with its source and spread, and what is unknown."""
    from catalog.mistakes import Mistake
    from catalog.queries.profile import find_food, profile_of
    from optimizer.errors import InputErrors

    catalog = load_all(None)
    food = find_food(id_, catalog)
    if isinstance(food, Mistake):
        raise InputErrors([food])
    facts = profile_of(food, catalog)
    if as_json:
        from optimizer.render.json.food import food_json

        click.echo(food_json(facts, catalog))
    else:
        from optimizer.render.text.food import food_text

        print_page(food_text, facts, catalog)


@foods.command()
@as_json
@answers_for_errors
def audit(as_json: bool) -> None:
    """Check that the figures of all foods add up, a person's own included.

    Exit code 0: nothing is out of line but exceptions with their reasons; 1: something is.
    """
    from catalog.queries.audit import audit as find
    from optimizer.errors import InputErrors
    from optimizer.render.json.audit import audit_json
    from optimizer.render.text.audit import audit_text

    catalog = load_all(None)
    findings, mistakes = find(catalog)
    if mistakes:
        raise InputErrors(mistakes)
    if as_json:
        click.echo(audit_json(findings, len(catalog.foods)))
    else:
        print_page(audit_text, findings, len(catalog.foods))
    sys.exit(0 if all(finding.reason for finding in findings) else 1)


@foods.command()
@click.option("--id", metavar="ID", help='Its id, such as "my-multivitamin".')
@click.option("--name", help="Its name, as it is to be printed.")
@click.option("--role", help="cut, organ, egg, fish, oil, supplement, …")
@click.option("--counts-as", help="meat (anything of an animal) or non-meat.")
@click.option("--like", metavar="ID", help="Take what is not on the label from this food of the catalog.")
@click.option("--per", help='What the amounts are in: "100 g", "2 capsules (1.3 g)", "1 tsp (4 g)".')
@click.option("--amount", "amounts", multiple=True, metavar='NUTRIENT="VALUE UNIT"', help="One for each nutrient.")
@click.option("--measure", "measures", multiple=True, metavar='MEASURE="GRAMS g"', help='Such as tsp="4 g".')
@click.option("--tag", "tags", multiple=True, metavar="TAG", help="What cautions look for, such as fish-oil.")
@click.option("--note", help="A note of your own.")
@click.option("--replace", is_flag=True, help="Lay it over the catalog's food of the same id.")
@click.option("--to", "path", type=click.Path(path_type=Path), help="The file; else own-foods.toml in the data folder.")
@answers_for_errors
def add(path: Path | None, replace: bool, **given: Any) -> None:
    """Add a food or supplement label of your own; what no option gives is asked for.

    Nothing is written unless all of it is right, and what stands in the file stays as it is.
    """
    from catalog.mistakes import Mistake
    from catalog.own.overlay import FILE_NAME, data_folder
    from optimizer.errors import InputErrors

    path = path or data_folder() / FILE_NAME
    catalog = load_all(None, without=path)
    try:
        entry = asked_for(given, catalog)
        known = catalog.foods.get(entry["id"])
        if known and not replace and given["id"] is None:
            replace = click.confirm(f"{known.id} is {known.name} in {known.file}. Lay yours over it?", err=True)
    except click.Abort:
        click.echo(err=True)  # the question stands on the line
        raise InputErrors([Mistake("command line", 0, "", "no answer", "an answer; nothing was written")]) from None
    [food] = _written([entry], path, catalog, replace)
    click.echo(f"{food.id} is in {path}, line {food.line}. `weighout foods show {food.id}` prints how it is counted.")


@foods.command("import")
@click.argument("release_path", metavar="PATH", type=click.Path(path_type=Path))
@click.argument("numbers", metavar="[NUMBER]...", nargs=-1)
@click.option("--search", metavar="WORDS", help="List the foods of the release with all of these words, and no more.")
@click.option("--id", "id_", metavar="ID", help="Its id, where one food is imported; else USDA's words make one.")
@click.option("--replace", is_flag=True, help="Lay it over the catalog's food of the same id.")
@click.option("--to", "path", type=click.Path(path_type=Path), help="The file; else own-foods.toml in the data folder.")
@as_json
@answers_for_errors
def import_(
    release_path: Path,
    numbers: tuple[str, ...],
    search: str | None,
    id_: str | None,
    replace: bool,
    path: Path | None,
    as_json: bool,
) -> None:
    """Read foods from USDA's public releases into own entries: NUMBER is an NDB number or an FDC ID.

    PATH is a download of the Standard Reference (the folder of its .txt or .txt.gz files) or of FoodData Central
    (SR Legacy or Foundation in CSV, the folder or the .zip). What a release does not say stays unknown.

    Exit code 0: all are written; 1: some are refused as unsafe for cats, the others are written; 2: bad input,
    nothing is written.
    """
    from catalog.mistakes import Mistake
    from catalog.own.overlay import FILE_NAME, data_folder
    from catalog.usda.importing import import_foods, open_release
    from catalog.usda.release import ReleaseError
    from optimizer.errors import InputErrors
    from optimizer.render.json.imports import imported_json
    from optimizer.render.text.imports import imported_text

    if (search is None) == (not numbers):
        raise click.UsageError("Give the numbers of foods, or --search WORDS to find them.")
    file = path or data_folder() / FILE_NAME
    try:
        release = open_release(release_path)
        if search is not None:
            _print_found(release, search, as_json)
            return
        catalog = load_all(None, without=file)
        imported, mistakes = import_foods(release, numbers, catalog, id_)
    except ReleaseError as problem:
        allowed = "a download of the Standard Reference (ASCII) or of FoodData Central (CSV)"
        mistakes = [Mistake(str(release_path), 0, "", str(problem), allowed)]
    if mistakes:
        raise InputErrors(mistakes)
    refused = [one for one in imported if one.refused]
    kept = [one for one in imported if not one.refused]
    written = _written([one.entry for one in kept], file, catalog, replace)
    if as_json:
        click.echo(imported_json(written, kept, refused, str(file)))
    elif written:
        print_page(imported_text, written, kept, str(file))
    for one in refused:
        click.echo(f"{one.number}, {one.description}: refused. {one.refused}", err=True)
    sys.exit(1 if refused else 0)


def _print_found(release: "Release", words: str, as_json: bool) -> None:
    from catalog.usda.importing import found_foods
    from optimizer.render.json.imports import found_json
    from optimizer.render.text.imports import found_text

    found = found_foods(release, words)
    if as_json:
        click.echo(found_json(found))
    else:
        print_page(found_text, found, release.name)


def _written(entries: "Sequence[Mapping[str, Any]]", path: Path, catalog: "Catalog", replace: bool) -> "list[Food]":
    """The foods of entries that were written to a file, all or none. Raises InputErrors."""
    from catalog.mistakes import Mistake
    from catalog.own.writing import add_entries
    from optimizer.errors import InputErrors

    try:
        foods, mistakes = add_entries(catalog, entries, path, replace) if entries else ([], [])
    except OSError as problem:
        read = problem.strerror or str(problem)
        foods, mistakes = [], [Mistake(str(path), 0, "", read, "a file that can be written; nothing was written")]
    if mistakes:
        raise InputErrors(mistakes)
    return foods
