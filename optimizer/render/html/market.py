"""The shopping list as one page of HTML, for a phone in the store and for paper: no request goes out."""

from optimizer.assess.cautions import foremost
from optimizer.market.market_report import MarketReport
from optimizer.render.html.nutrient_report import Chart
from optimizer.render.html.pages import page
from optimizer.render.market_answers import (
    ALONE,
    BOUGHT,
    NOT_BOUGHT,
    alone_rows,
    break_even_rows,
    map_title,
    solves_words,
    substitution_rows,
    sweep_cells,
    sweep_title,
)
from optimizer.render.market_rows import (
    LAST_PAID,
    NOT_TO_FEED,
    batch_words,
    miss_words,
    money_rows,
    offers_words,
    store_rows,
    use_rows,
    verdict,
)
from optimizer.render.origin import Origin
from optimizer.sheet.sheet import PLANNED

TYPE_PT = 8.8  # with this the longer demo list with its cautions is one page of A4 and of Letter


def list_page(report: MarketReport, origin: Origin, paper: str = "A4", chart: Chart | None = None) -> str:
    """The list as a whole HTML file; `paper` is A4 or letter, `chart` that of the sweep where one was asked for."""
    basket, sweep, found = report.trip.basket, report.sweep, report.price_map
    swept = sweep or found
    substitutions, left_out = substitution_rows(report)
    return page(
        "market.html",
        sheet=basket.sheet,
        currency=basket.sheet.currency,
        verdict=verdict(report),
        bad="" if report.trip.status == PLANNED else NOT_TO_FEED,
        misses=miss_words(basket),
        stores=store_rows(basket),
        last_paid=LAST_PAID if any(line.offer.line.last_known for line in basket.bought) else "",
        money=money_rows(basket),
        batch=batch_words(basket),
        uses=use_rows(basket),
        alone=alone_rows(report) if report.alone is not None else (),
        alone_note=ALONE,
        break_evens=[
            (BOUGHT, "Stays up to", break_even_rows(report, True)),
            (NOT_BOUGHT, "Bought at", break_even_rows(report, False)),
        ],
        never_bought=", ".join(report.never_bought) if report.break_evens is not None else "",
        substitutions=substitutions,
        substitutions_left_out=left_out,
        sweep_title=sweep_title(report) if sweep else "",
        sweep=sweep_cells(report) if sweep else (),
        map_title=map_title(found, basket.sheet.currency) if found else "",
        mixes=found.mixes if found else (),
        solves=solves_words(swept.solves, swept.proven) if swept else "",
        chart=chart,
        unfinished=report.unfinished,
        cautions=[notice.text for notice in foremost(basket.sheet.cautions)],
        offers=offers_words(report),
        origin=origin,
        paper=paper,
        type_pt=TYPE_PT,
    )
