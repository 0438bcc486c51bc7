"""A trip to the stores as JSON: money as decimal text, mass in grams, energy in kilocalories (ME)."""

import json
from decimal import Decimal
from math import isfinite
from typing import Any

from catalog.units.money import cents
from optimizer.market.basket import Basket, BasketLine
from optimizer.market.breakeven import BreakEven
from optimizer.market.market_report import MarketReport
from optimizer.market.offers import Offer
from optimizer.market.rules import size_of
from optimizer.market.substitutions import Substitution
from optimizer.market.sweep_tables import PriceMap, SweepRow
from optimizer.market.wording import count_words
from optimizer.render.json.sheet import sheet_object
from optimizer.render.market_rows import verdict
from optimizer.sheet.amount_words import amount_words


def market_json(report: MarketReport, points: int = 0) -> str:
    """The report as one JSON object; `points` are how many prices of a sweep to give, evenly spaced."""
    return json.dumps(_object(report, points), indent=2, ensure_ascii=False, allow_nan=False)


def _object(report: MarketReport, points: int) -> dict[str, Any]:
    basket = report.trip.basket
    measure, least = size_of(basket.buying.scenario, basket.buying.market)
    sheet = sheet_object(basket.sheet)
    gap = basket.purchase.gap
    return {
        "status": report.trip.status,
        "scenario": sheet["scenario"],
        "standard": sheet["standard"],
        "life_stage": sheet["life_stage"],
        "headline": verdict(report),
        "guards_passed": sheet["guards_passed"],
        "depends_on": sheet["depends_on"],
        "currency": basket.sheet.currency,
        "size": {"measure": measure, "at_least": float(least), "unit": "g" if measure == "meat" else "kcal"},
        "days": None if basket.days is None else float(basket.days),
        "cats": basket.buying.market.cats,
        "offers": len(basket.buying.offers),
        "proven_cheapest": report.trip.best is not None and report.trip.best.proven,
        "gap": gap if isfinite(gap) else None,
        "seconds": round(report.trip.seconds, 4),
        "stores": [_store(basket, store) for store in basket.stores],
        "costs": _costs(basket),
        "uses": [_use(use) for use in basket.uses],
        "rules_broken": list(basket.broken),
        "stores_alone": None if report.alone is None else [_alone(a, report) for a in report.alone],
        "break_evens": None if report.break_evens is None else [_break_even(b) for b in report.break_evens],
        "swaps": [_substitution(substitution) for substitution in report.substitutions],
        "sweep": _sweep(report, points),
        "price_map": None if report.price_map is None else _map(report.price_map),
        "never_bought": list(report.never_bought),
        "interrupted": list(report.unfinished),
        "sheet": sheet,
    }


def _money(amount: Decimal | None) -> str | None:
    return None if amount is None else str(amount)


def _store(basket: Basket, store: str) -> dict[str, Any]:
    lines = [line for line in basket.bought if line.offer.store == store]
    return {
        "name": store,
        "total": str(sum((line.cost for line in lines), Decimal())),
        "visit_cost": str(basket.buying.market.visit(store)),
        "packages": [_bought(line) for line in lines],
    }


def _offer(offer: Offer) -> dict[str, Any]:
    return {
        "id": offer.food.id,
        "name": offer.food.name,
        "store": offer.store,
        "package": None if offer.loose else offer.line.package.text,
        "package_g": None if offer.loose else float(offer.grams),
        "price": {"amount": str(offer.priced_at), "per_g": float(offer.priced_grams), "as_written": offer.line.text},
        "price_per_kg": round(offer.price_per_kg, 4),
        "price_per_edible_kg": round(offer.price_per_edible_kg, 4) if offer.edible_share else None,
        "date": None if offer.line.day is None else offer.line.day.isoformat(),
        "last_known": offer.line.last_known,
        "note": offer.line.note,
        "file": offer.line.file,
        "line": offer.line.line,
    }


def _bought(line: BasketLine) -> dict[str, Any]:
    return {
        **_offer(line.offer),
        "count": None if line.offer.loose else int(line.count),
        "grams": float(line.grams),
        "text": count_words(line.offer, line.count),
        "cost": str(line.cost),
    }


def _costs(basket: Basket) -> dict[str, Any]:
    def rates(money: Decimal) -> dict[str, str]:
        return {key: str(amount) for key, amount in basket.rates(money).items()}

    return {
        "at_stores": str(basket.paid),
        "visits": str(basket.visits),
        "to_pay": str(basket.spent),
        "to_pay_rates": rates(basket.spent),
        "from_on_hand": str(basket.on_hand_worth),
        "left_over": str(basket.left_worth),
        "batch": str(basket.batch_cost),
        "batch_rates": rates(basket.batch_cost),
    }


def _use(use: Any) -> dict[str, Any]:
    return {
        "id": use.item.id,
        "name": use.item.food.name,
        "text": amount_words(use.amount) if use.amount.count > 0 else "none",
        "grams": use.amount.grams,
        "from_hand_g": float(use.from_hand),
        "from_bought_g": float(use.from_bought),
        "left_over_g": float(use.left_over),
        "left_over_worth": str(cents(use.left_worth)),
    }


def _alone(alone: Any, report: MarketReport) -> dict[str, Any]:
    found, best = alone.purchase, report.trip.best
    return {
        "store": alone.store,
        "possible": found is not None or (None if not alone.ruled_out else False),
        "cost": None if found is None else str(cents(found.cost)),
        "more_than_best": None if found is None or best is None else str(cents(found.cost - best.cost)),
        "proven": found is not None and found.proven,
    }


def _break_even(found: BreakEven) -> dict[str, Any]:
    return {
        "offer": _offer(found.offer),
        "bought": found.bought,
        "standing": found.standing,
        "price": _money(found.price),
        "price_per_kg": None if found.price_per_kg is None else round(found.price_per_kg, 4),
        "solves": found.solves,
    }


def _substitution(substitution: Substitution) -> dict[str, Any]:
    return {
        "id": substitution.found.offer.food.id,
        "store": substitution.found.offer.store,
        "kind": "without" if substitution.found.bought else "with",
        "extra_cost": str(substitution.extra),
        "instead_of": list(substitution.out),
        "buy": list(substitution.instead),
        "doses": list(substitution.doses),
    }


def _sweep(report: MarketReport, points: int) -> dict[str, Any] | None:
    sweep = report.sweep
    if sweep is None:
        return None
    read = []
    for price in sweep.price_range.points(points) if points else []:
        line = sweep.at(price)
        read.append({"price": float(price), "cost": None if line is None else round(float(line.at(price)), 4)})
    return {
        "of": sweep.price_range.label,
        "per": sweep.price_range.unit,
        "low": str(cents(sweep.price_range.low)),
        "high": str(cents(sweep.price_range.high)),
        "complete": sweep.complete,
        "proven": sweep.proven,
        "solves": sweep.solves,
        "rows": [_row(row) for row in report.sweep_rows],
        "points": read,
    }


def _row(row: SweepRow) -> dict[str, Any]:
    return {
        "from": str(row.low),
        "to": str(row.high),
        "cost_from": _money(row.cost_low),
        "cost_to": _money(row.cost_high),
        "bought": list(row.bought),
        "changes": list(row.changes),
    }


def _map(found: PriceMap) -> dict[str, Any]:
    return {
        "across": {
            "of": found.across.label,
            "per": found.across.unit,
            "prices": [str(price) for price in found.prices],
        },
        "down": {"of": found.down.label, "per": found.down.unit},
        "rows": [{"price": str(price), "mixes": letters} for price, letters in found.rows],
        "mixes": {letter: list(words) for letter, words in found.mixes},
        "complete": found.complete,
        "proven": found.proven,
        "solves": found.solves,
    }
