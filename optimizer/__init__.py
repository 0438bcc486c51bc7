"""The library: what the command line does, to be called from a notebook or another program.

    import optimizer

    catalog = optimizer.load_catalog()
    scenario = optimizer.load_scenario("scenarios/turkey-week.toml", catalog)
    sheet = optimizer.plan(scenario, catalog)
    optimizer.as_json(sheet, catalog)["sureness"]["together"]

Nothing here prints, ends the process, or looks into a folder that it is not given, and all of it may be called from
several threads at once. Three settings are not its own: what csv lets a cell hold and two of matplotlib's for SVG are
changed behind a lock and put back; and HiGHS, which solves, keeps a scheduler in each thread, here with one worker, so
who solves with it in the same thread later leaves its option `threads` unset. What a function needs is loaded when it
is called. Masses are grams, energy is kilocalories (ME), money is decimal. Verbs are files of this folder, nouns are
its folders; what is known about food as such is in `catalog`.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from copy import deepcopy
from datetime import date
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any

from optimizer.errors import InputErrors, NothingToAssess, OutOfTime, UnverifiedPlan, WeighoutError

if TYPE_CHECKING:
    from catalog.records import Catalog
    from optimizer.amending import Amendment
    from optimizer.comparing import Comparison
    from optimizer.market.known_prices import KnownPrices
    from optimizer.market.market_report import MarketReport
    from optimizer.render.papers import Papers
    from optimizer.scenario.edit import WhatIf
    from optimizer.scenario.records import Scenario
    from optimizer.sheet.portions import Portions
    from optimizer.sheet.sheet import Sheet
    from optimizer.shopping import MarketQuestions

__all__ = [
    "Amendment",
    "Catalog",
    "Comparison",
    "InputErrors",
    "KnownPrices",
    "MarketQuestions",
    "MarketReport",
    "NothingToAssess",
    "OutOfTime",
    "Papers",
    "Portions",
    "Scenario",
    "Sheet",
    "UnverifiedPlan",
    "WeighoutError",
    "WhatIf",
    "amend",
    "as_json",
    "check",
    "compare",
    "load_catalog",
    "load_scenario",
    "plan",
    "portions",
    "prices",
    "shop",
    "write_papers",
]

PathLike = Path | str
DEFAULT_SECONDS = 30.0


def _never() -> bool:
    return False


# The records that functions here take and give, by the module that each is in.
RECORDS = {
    "Amendment": "optimizer.amending",
    "Catalog": "catalog.records",
    "Comparison": "optimizer.comparing",
    "KnownPrices": "optimizer.market.known_prices",
    "MarketQuestions": "optimizer.shopping",
    "MarketReport": "optimizer.market.market_report",
    "Papers": "optimizer.render.papers",
    "Portions": "optimizer.sheet.portions",
    "Scenario": "optimizer.scenario.records",
    "Sheet": "optimizer.sheet.sheet",
    "WhatIf": "optimizer.scenario.edit",
}

if not TYPE_CHECKING:  # what reads types sees the imports above

    def __getattr__(name: str) -> Any:
        """A record, loaded when it is first asked for."""
        if name not in RECORDS:
            raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
        return getattr(import_module(RECORDS[name]), name)


def load_catalog(own: Iterable[PathLike] = (), *, without: Path | None = None) -> "Catalog":
    """What is known about food: the shipped tables and, laid over them, a person's own foods and standards in the
    folders `own` (own-foods.toml, own-standards.toml), the last on top, but for the file `without`.

    The command line names `catalog.own.overlay.data_folder()`, then the scenario's folder. Raises InputErrors with
    every mistake in own files.
    """
    from catalog.catalog import load_catalog as shipped
    from catalog.own.overlay import with_own_entries

    catalog, mistakes = shipped(whole=False)
    if not mistakes:
        catalog, mistakes = with_own_entries(catalog, [Path(folder) for folder in own], without)
    if mistakes:
        raise InputErrors(mistakes)
    return catalog


def load_scenario(
    source: PathLike | Mapping[str, Any],
    catalog: "Catalog",
    *,
    what_if: "WhatIf | None" = None,
    stock: Callable[[str], Mapping[str, Any]] | None = None,
    shopping: bool = False,
) -> "Scenario":
    """A scenario from its file, or from what such a file holds as plain data. `what_if` changes it as the command
    line's options do. Where it says "stock", `stock` gives the lists for a currency. `shopping`: the meat may all be
    to buy.

    Raises InputErrors with every mistake, each with file, line, field, what was read and what is allowed.
    """
    from catalog.reading.toml_lines import Lines
    from optimizer.scenario import read
    from optimizer.scenario.edit import WhatIf

    changes = what_if or WhatIf()
    if isinstance(source, Mapping):
        data = deepcopy(dict(source))
        return read.scenario_in(data, "scenario", Lines({}), catalog, changes, stock, shopping)
    return read.load_scenario(Path(source), catalog, what_if=changes, stock=stock, shopping=shopping)


def plan(
    scenario: "Scenario",
    catalog: "Catalog",
    *,
    seconds: float = DEFAULT_SECONDS,
    why: bool = False,
    known_prices: "KnownPrices | None" = None,
    cancelled: Callable[[], bool] = _never,
) -> "Sheet":
    """The best mix that meets every limit, or the nearest one, as a sheet: `status` says which. See `planning.plan`.

    `seconds` is the limit of all of it; `cancelled` is asked between solves. Raises OutOfTime where not even a mix that
    misses limits was found, NothingToAssess where nothing brings energy, UnverifiedPlan for a fault of the program.
    """
    from optimizer.planning import plan as planned

    return planned(scenario, catalog, seconds, why, known_prices, cancelled=cancelled)


def check(scenario: "Scenario", catalog: "Catalog") -> "Sheet":
    """The sheet of the amounts as they are written; nothing is optimised. Raises NothingToAssess."""
    from optimizer.checking import check as checked

    return checked(scenario, catalog)


def amend(
    source: PathLike, catalog: "Catalog", done: Sequence[str], *, stock: Mapping[str, Any] | None = None
) -> "Amendment":
    """The plan of a scenario's file with what is in the bowl already, as "id=amount" each. `stock` are the lists that
    stand for "stock". Raises InputErrors."""
    from optimizer.amending import amend as amended
    from optimizer.journal.recipes import read_recipe

    return amended(read_recipe(Path(source), catalog, stock), catalog, done)


def compare(sheets: Mapping[str, "Sheet"]) -> "Comparison":
    """What differs between two sheets or more, by their labels."""
    from optimizer.comparing import compare as compared

    return compared(tuple(sheets), tuple(sheets.values()))


def prices(
    scenario: "Scenario", catalog: "Catalog", price_lists: Iterable[PathLike], *, decimal_comma: bool = False
) -> "KnownPrices | None":
    """What price lists (CSV) and the scenario's own offers say, for `plan`: what would help is then told with what it
    costs. None where that is nothing. Raises InputErrors."""
    from optimizer.explain.priced_additions import known_prices

    return known_prices(scenario, catalog, [Path(path) for path in price_lists], decimal_comma)


def shop(
    scenario: "Scenario",
    catalog: "Catalog",
    price_lists: Iterable[PathLike] = (),
    *,
    size: Mapping[str, Any] | None = None,
    stores: Iterable[str] = (),
    questions: "MarketQuestions | None" = None,
    decimal_comma: bool = False,
    seconds: float = 10.0,
    tell: Callable[[str, float], None] = lambda *_: None,
    cancelled: Callable[[], bool] = _never,
) -> "MarketReport":
    """What to buy where for the cheapest batch that meets every limit. Load the scenario with `shopping`.

    `size` is {"meat": "12 lb"}, {"energy": "9000 kcal"} or {"days": 7}, else the scenario's. `questions` is what is
    asked besides; each solve has `seconds`; `tell` hears what is being done and how much of it is. `cancelled` is
    asked after each question (not while the basket is sought): what was found by then is in the report. Raises
    InputErrors, and OutOfTime where no basket was found.
    """
    from optimizer.market.prepare import prepare
    from optimizer.market.trip import go
    from optimizer.shopping import MarketQuestions, explore

    paths = [Path(path) for path in price_lists]
    read, market, offers = prepare(scenario, catalog, paths, size or {}, tuple(stores), decimal_comma)
    trip = go(read, market, offers, catalog, seconds)
    return explore(trip, questions or MarketQuestions(), tell, cancelled)


def portions(
    scenario: "Scenario", sheet: "Sheet", catalog: "Catalog", *, made: date | None = None
) -> "Portions | None":
    """The portions, bags and thaw plan of a batch made on a day (None: today); None where the scenario has neither cats
    nor portions, or the mix is the nearest to one that meets every limit: that is not to be fed."""
    from optimizer.render.papers import portions_for

    return portions_for(scenario, sheet, catalog, made)


def write_papers(
    papers: "Papers", scenario: "Scenario", catalog: "Catalog", sheet: "Sheet", *, overwrite: bool = False
) -> list[Path]:
    """Writes the files of a sheet that are asked for, all of them or none; gives their paths. A file that stands there
    is replaced only where weighout wrote it and nobody changed it, or to `overwrite`. Raises InputErrors where one
    cannot be made or written."""
    from optimizer.render.papers import paper_contents, portions_for, write_contents

    made = portions_for(scenario, sheet, catalog, papers.made)
    contents = paper_contents(papers, scenario, catalog, sheet, made)
    return [path for _, path in write_contents(contents, [Path(scenario.file)], overwrite)]


def as_json(sheet: "Sheet", catalog: "Catalog", made: "Portions | None" = None) -> dict[str, Any]:
    """The sheet, and portions of it, as the object that `--json` prints."""
    from optimizer.render.json.sheet import whole_sheet_object

    return whole_sheet_object(sheet, made, catalog.sources)
