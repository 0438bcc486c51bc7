"""The command `standards`: lists them, prints one, or sets all side by side."""

import click

from optimizer.cli.common import answers_for_errors, as_json, load_all, print_page

LIFE_STAGES = ("adult", "growth")  # catalog.reading.standards.LIFE_STAGES, named here so that --help loads no catalog


@click.command()
@click.argument("id_", metavar="[ID]", required=False)
@click.option("--compare", is_flag=True, help="Set all standards side by side.")
@click.option("--life-stage", type=click.Choice(LIFE_STAGES), help="Only this life stage of ID or of --compare.")
@as_json
@answers_for_errors
def standards(id_: str | None, compare: bool, life_stage: str | None, as_json: bool) -> None:
    """List the standards that a scenario can name; with ID, print every limit of one."""
    if id_ and compare:
        raise click.UsageError("--compare sets all standards side by side: leave out the ID.")
    if life_stage and not (id_ or compare):
        raise click.UsageError("--life-stage goes with an ID or with --compare.")
    if compare:
        _compare(life_stage, as_json)
    elif id_:
        _one(id_, life_stage, as_json)
    else:
        _list(as_json)


def _list(as_json: bool) -> None:
    catalog = load_all(None)
    if as_json:
        from optimizer.render.json.standards import standards_json

        click.echo(standards_json(catalog))
    else:
        from optimizer.render.text.standards import standards_text

        print_page(standards_text, catalog)


def _one(id_: str, life_stage: str | None, as_json: bool) -> None:
    from catalog.mistakes import Mistake, did_you_mean
    from optimizer.errors import InputErrors

    catalog = load_all(None)
    known = sorted({standard for standard, _ in catalog.standards})
    if id_ not in known:
        hint = did_you_mean(id_, known)
        raise InputErrors([Mistake("command line", 0, "ID", f'"{id_}"', ", ".join(known), hint)])
    stages = [catalog.standards[id_, stage] for stage in LIFE_STAGES if life_stage in (None, stage)]
    if as_json:
        from optimizer.render.json.standards import standard_json

        click.echo(standard_json(stages, catalog))
    else:
        from optimizer.render.text.standards import standard_text

        print_page(standard_text, stages, catalog)


def _compare(life_stage: str | None, as_json: bool) -> None:
    from catalog.queries.side_by_side import compared

    catalog = load_all(None)
    rows = compared(catalog, life_stage)
    if as_json:
        from optimizer.render.json.standards import compared_json

        click.echo(compared_json(rows, catalog))
    else:
        from optimizer.render.text.standards import compared_text

        print_page(compared_text, rows, catalog)
