"""Purchase -> basket: what to buy where, what of it goes in, what is left over, what it costs. Verified."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from catalog.records import Catalog
from catalog.units.money import cents
from optimizer.assess.assessment import assess
from optimizer.assess.batch import Amount
from optimizer.assess.result import Assessment
from optimizer.errors import UnverifiedPlan
from optimizer.market.buyer import Purchase
from optimizer.market.buying_problem import ON_HAND, BuyingProblem
from optimizer.market.offers import Offer, is_weighed, scale_step
from optimizer.market.verify import broken_rules
from optimizer.model.problem import Floats, Solution
from optimizer.model.solve import exact
from optimizer.scenario.aims import COST
from optimizer.scenario.market import NOTHING
from optimizer.scenario.records import Item, Scenario
from optimizer.sheet.sheet import PLANNED, Sheet, SheetStatus, make_sheet
from optimizer.sureness.chances import sureness_of
from optimizer.sureness.told import ToldSureness


@dataclass(frozen=True, slots=True)
class BasketLine:
    """So many packages of an offer; of what is sold by weight, steps of a scale. `cost` is to the cent."""

    offer: Offer
    count: Fraction
    cost: Decimal

    @property
    def grams(self) -> Fraction:
        """What they weigh together."""
        return self.count * self.offer.grams


@dataclass(frozen=True, slots=True)
class FoodUse:
    """What goes in of one food, in grams, and from where; what is left of what was bought of it. `paid` and
    `left_worth` are their shares of the price, `hand_worth` is None for what has no price in the scenario,
    `lots` is how many packages it comes from."""

    amount: Amount
    from_hand: Fraction
    from_bought: Fraction
    left_over: Fraction
    paid: Fraction
    left_worth: Fraction
    hand_worth: Fraction | None
    lots: int = 1

    @property
    def item(self) -> Item:
        """The food as an item."""
        return self.amount.item


@dataclass(frozen=True, slots=True)
class Basket:
    """A shopping list with the batch that comes of it; `broken` are the rules of the market table that it misses.

    `sheet` is the batch's, and `scenario` what it was made of: what goes in, each at what it cost and in the steps
    in which it is measured.
    """

    buying: BuyingProblem
    purchase: Purchase
    bought: tuple[BasketLine, ...]
    uses: tuple[FoodUse, ...]
    scenario: Scenario
    sheet: Sheet
    broken: tuple[str, ...]

    @property
    def stores(self) -> tuple[str, ...]:
        """Where to go."""
        return tuple(dict.fromkeys(line.offer.store for line in self.bought))

    @property
    def paid(self) -> Decimal:
        """What the stores ask."""
        return sum((line.cost for line in self.bought), NOTHING)

    @property
    def visits(self) -> Decimal:
        """What going there costs."""
        return sum((self.buying.market.visit(store) for store in self.stores), NOTHING)

    @property
    def spent(self) -> Decimal:
        """What leaves the purse: packages and visits."""
        return self.paid + self.visits

    @property
    def on_hand_worth(self) -> Decimal:
        """What goes in of what is on hand, at the scenario's prices; what has none there counts nothing."""
        return cents(sum((use.hand_worth or Fraction() for use in self.uses), Fraction()))

    @property
    def left_worth(self) -> Decimal:
        """What is left over of what was bought, in proportion to its price."""
        return cents(sum((use.left_worth for use in self.uses), Fraction()))

    @property
    def batch_cost(self) -> Decimal:
        """What is in the batch: spent and taken from what is on hand, less what is left over."""
        return self.spent + self.on_hand_worth - self.left_worth

    @property
    def days(self) -> Fraction | None:
        """How long it feeds the cats."""
        per_day = self.buying.market.kcal_per_day
        return Fraction(self.assessment.totals.energy_kcal) / per_day if per_day else None

    @property
    def largest(self) -> tuple[str, float] | None:
        """The name of what most of the meat is, and its share of the meat by mass."""
        meat = [use.amount for use in self.uses if use.item.is_meat]
        total = sum(amount.grams for amount in meat)
        most = max(meat, key=lambda amount: amount.grams, default=None)
        return (most.item.food.name, most.grams / total) if most and total else None

    @property
    def assessment(self) -> Assessment:
        """What it comes to against the standard."""
        return self.sheet.assessment

    def rates(self, money: Decimal) -> dict[str, Decimal]:
        """An amount of money per kg of mix, per 1000 kcal and, where there are cats, per cat and day."""
        totals = self.assessment.totals
        found = {
            "per_kg": cents(Fraction(money) / Fraction(totals.mass_g) * 1000),
            "per_1000_kcal": cents(Fraction(money) / Fraction(totals.energy_kcal) * 1000),
        }
        if self.days:
            found["per_cat_and_day"] = cents(Fraction(money) / self.days / self.buying.market.cats)
        return found


def make_basket(
    buying: BuyingProblem, purchase: Purchase, values: Floats, catalog: Catalog, status: SheetStatus, solution: Solution
) -> Basket:
    """The basket of a purchase with these amounts. Raises UnverifiedPlan where it claims (`status` planned) to keep
    rules that it does not keep."""
    bought = [
        BasketLine(offer, purchase.count(offer.id), cents(purchase.count(offer.id) * offer.price))
        for offer in buying.offers
        if purchase.count(offer.id)
    ]
    uses = [
        _use(item, buying, values, [b for b in bought if b.offer.food.id == item.id]) for item in buying.scenario.items
    ]
    amounts = [_priced(use) for use in uses if use.amount.count > 0]
    # the budget is for what is spent, not for what is in the batch
    scenario = replace(buying.scenario, aim=COST, budget=None, items=tuple(amount.item for amount in amounts))
    assessment = assess(scenario, catalog, amounts)
    stores = {line.offer.store for line in bought}
    broken = broken_rules(buying.scenario, buying.market, amounts, assessment, catalog, len(stores))
    broken += [f"more {use.item.id} than was bought" for use in uses if use.left_over < 0]
    if status == PLANNED and (broken or not assessment.all_met):
        words = "; ".join(broken) or "a limit"
        raise UnverifiedPlan(f"{scenario.file}: the purchase found does not keep this after rounding: {words}")
    told = ToldSureness(sureness_of(scenario, catalog, amounts)) if status == PLANNED else None
    sheet = make_sheet(scenario, catalog, amounts, assessment, status, solution, sureness=told)
    kept = [use for use in uses if use.amount.count > 0 or use.left_over > 0]
    return Basket(buying, purchase, tuple(bought), tuple(kept), scenario, sheet, tuple(broken))


def _use(item: Item, buying: BuyingProblem, values: Floats, bought: Sequence[BasketLine]) -> FoodUse:
    """What goes in of one item: its columns are whole steps, except what is on hand and goes in as it is."""
    from_hand = from_bought = Fraction()
    for part in buying.food_columns[item.id]:
        steps = Fraction(round(values[part.column]))
        if part.source == ON_HAND:
            if item.fixed is not None:
                steps = item.fixed * item.grams_per_unit / part.grams
            elif not buying.problem.integer[part.column]:
                steps = exact(float(values[part.column]))
            from_hand += steps * part.grams
        else:
            from_bought += steps * part.grams
    there = sum((line.grams for line in bought), Fraction())
    cost = sum((line.count * line.offer.price for line in bought), Fraction())
    left = there - from_bought
    price = item.price_per_gram
    return FoodUse(
        amount=Amount(item, (from_hand + from_bought) / item.grams_per_unit),
        from_hand=from_hand,
        from_bought=from_bought,
        left_over=left,
        paid=cost * from_bought / there if there else Fraction(),
        left_worth=cost * left / there if there else Fraction(),
        hand_worth=None if price is None else from_hand * price,
        lots=max(1, sum(int(line.count) for line in bought if not line.offer.loose) + (item.lots if from_hand else 0)),
    )


def _priced(use: FoodUse) -> Amount:
    """An amount whose item costs what was paid for what goes in of it, with what is on hand of it at its own price.
    What is bought by weight is weighed out as finely as a scale shows."""
    if not use.from_bought:
        return use.amount
    item, grams = use.item, use.from_bought + use.from_hand
    step = scale_step(item) / item.grams_per_unit if is_weighed(item) else item.step
    price = (use.paid + (use.hand_worth or 0)) / grams
    return replace(use.amount, item=replace(item, price_per_gram=price, step=step, lots=use.lots))
