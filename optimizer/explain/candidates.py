"""What in the catalog could help a mix that misses limits: a few things for each of them that differ in kind."""

from collections.abc import Callable, Collection, Mapping, Sequence
from fractions import Fraction
from math import log

from catalog.nutrition.losses import treated
from catalog.records import Catalog, Food
from optimizer.assess.result import OVER, Miss
from optimizer.scenario.edit import MOST_OF_A_FOOD
from optimizer.scenario.items import DEFAULT_CUT_STEPS, DEFAULT_STEPS
from optimizer.scenario.records import VOLUMES, Item, Scenario, measure_grams

# Not offered: without a strength on the label, or risky when raw.
NOT_OFFERED = {
    "iodine-unlabelled",
    "unstated",
    "thiaminase",
    "raw-egg-white",
    "salted",
    "cooked",
    "pork-or-boar",
    "game",
}
SELDOM_SOLD = ("lung", "pancreas", "thymus", "lamb-spleen")  # in the names of foods that few butchers have
# What a butcher sells; plants and flours are no cure for what meat lacks.
FOOD_ROLES = ("organ", "egg", "oil")
SPECIES = ("chicken", "turkey", "beef", "pork", "lamb")
JARS = ("mineral", "vitamin", "amino-acid", "fish-oil", "yeast")
MOST_FOODS = 12
MOST_OF_A_SUPPLEMENT = Fraction(1, 100)
MOST_OF_A_KIND, FEW_TARGETS = 2, 3
WORTH = 0.02  # a step or 100 g has to bring this share of a target per 1000 kcal to count as its source


def candidates(scenario: Scenario, catalog: Catalog, misses: Sequence[Miss]) -> tuple[Item, ...]:
    """Items to try: for every target that is missed supplements and foods that bring it, one for each set of
    targets served and one of an animal on hand, or two jars in different measures where little is missed; fat where a
    ceiling per 1000 kcal is passed."""
    targets = _targets(misses)
    pool = _pool(scenario, catalog)
    jars = [food for food in pool if food.role == "supplement" and food.category in JARS]
    own = species_on_hand(scenario)
    butchers = [food for food in pool if food.role in FOOD_ROLES and food.species in {*own, *SPECIES}]
    same = [food for food in butchers if food.species in own]
    meat = _meat_grams(scenario)
    most = meat * MOST_OF_A_SUPPLEMENT
    each = MOST_OF_A_KIND if len(targets) <= FEW_TARGETS else 1
    found = [_supplement(food, most) for food in _some_of_each_kind(jars, targets, _step_grams, _measurable, each)]
    kinds = [_some_of_each_kind(foods, targets, lambda _: Fraction(100), _strong) for foods in (butchers, same)]
    foods = list({food.id: food for kind in kinds for food in kind[:MOST_FOODS]}.values())
    if any(miss.status == OVER for miss in misses):
        foods += _fats(scenario, pool)
    return tuple(found + [_food(food, meat * MOST_OF_A_FOOD) for food in foods])


def every_candidate(scenario: Scenario, catalog: Catalog, misses: Sequence[Miss]) -> tuple[Item, ...]:
    """Every jar that brings what is missed, and every food of what a butcher sells that may be offered: where a few of
    each kind do not help."""
    targets = _targets(misses)
    pool, meat = _pool(scenario, catalog), _meat_grams(scenario)
    own = species_on_hand(scenario)
    jars = [f for f in pool if f.role == "supplement" and f.category in JARS and targets.keys() & set(f.purposes)]
    foods = [f for f in pool if f.role in ("organ", "egg", "fat") and f.species in {*own, *SPECIES}]
    found = [_supplement(food, meat * MOST_OF_A_SUPPLEMENT) for food in jars]
    return (*found, *(_food(food, meat * MOST_OF_A_FOOD) for food in foods))


def on_sale(scenario: Scenario, catalog: Catalog, foods: Collection[str]) -> tuple[Item, ...]:
    """Items to try of foods that somebody sells: each supplement, organ, egg, oil and fat among them that may be
    offered, of whatever species, whether or not it brings what is missed: it may repair what another one upsets."""
    meat = _meat_grams(scenario)
    found = []
    for food in _pool(scenario, catalog):
        if food.id in foods and food.role == "supplement" and food.category in JARS:
            found.append(_supplement(food, meat * MOST_OF_A_SUPPLEMENT))
        elif food.id in foods and food.role in (*FOOD_ROLES, "fat"):
            found.append(_food(food, meat * MOST_OF_A_FOOD))
    return tuple(found)


def species_on_hand(scenario: Scenario) -> frozenset[str]:
    """The animals whose meat is on hand: who sells that sells their organs too."""
    return frozenset(item.food.species for item in scenario.items if item.is_meat)


def _pool(scenario: Scenario, catalog: Catalog) -> list[Food]:
    """What is not on hand and may be offered."""
    on_hand = {item.id for item in scenario.items}
    species = species_on_hand(scenario)

    def may_be_offered(food: Food) -> bool:
        # raw pork is for who feeds it already; lard is rendered
        allowed = {"pork-or-boar"} if food.role == "fat" or food.species in species else set()
        return not food.tags & (NOT_OFFERED - allowed) and not any(word in food.id for word in SELDOM_SOLD)

    return [
        treated(food, scenario.treatments)
        for food in catalog.foods.values()
        if food.id not in on_hand and not food.parts and may_be_offered(food) and food.figures
    ]


def _meat_grams(scenario: Scenario) -> Fraction:
    grams = ((i.fixed or i.available or Fraction()) * i.grams_per_unit for i in scenario.items if i.is_meat)
    return sum(grams, Fraction())


def _targets(misses: Sequence[Miss]) -> dict[str, float]:
    """The amounts per 1000 kcal that are wanted, by nutrient."""
    wanted = {miss.id: miss.limit for miss in misses if miss.status != OVER and miss.unit not in ("", "%")}
    for miss in misses:
        if miss.id == "calcium-phosphorus":
            wanted.setdefault("phosphorus" if miss.status == OVER else "calcium", 1.5)
    return wanted


def _step_grams(food: Food) -> Fraction:
    unit = _unit(food)
    return DEFAULT_STEPS.get(unit, Fraction(1)) * (measure_grams(food, unit, {}) if unit != "g" else 1)


def _unit(food: Food) -> str:
    return next(iter(food.measures), "g")


def _some_of_each_kind(
    foods: Sequence[Food],
    targets: Mapping[str, float],
    grams_of: Callable[[Food], Fraction],
    merit: Callable[[float], float],
    most: int = 1,
) -> list[Food]:
    """Foods for each set of targets that foods serve, those that serve most first: the ones of most `merit`, a
    function of how much of a target one `grams_of` brings, in so many measures at the `most`."""
    kinds: dict[frozenset[str], dict[str, tuple[float, Food]]] = {}
    for food in foods:
        grams = float(grams_of(food))
        shares = {
            id_: food.figures[id_].low / 100 * grams / least for id_, least in targets.items() if id_ in food.figures
        }
        served = frozenset(id_ for id_, share in shares.items() if share >= WORTH)
        if not served:
            continue
        worth = merit(max(shares[id_] for id_ in served))
        by_unit = kinds.setdefault(served, {})
        unit = _unit(food)
        if unit not in by_unit or worth > by_unit[unit][0]:
            by_unit[unit] = (worth, food)
    found = [
        (len(served), food)
        for served, by_unit in kinds.items()
        for _, food in sorted(by_unit.values(), key=lambda one: -one[0])[:most]
    ]
    return [food for _, food in sorted(found, key=lambda one: (-one[0], one[1].id))]


def _measurable(share: float) -> float:
    """A jar is handiest when one step of it brings about the target of 1000 kcal."""
    return -abs(log(share))


def _strong(share: float) -> float:
    """A food helps most when little of it is needed."""
    return share


def _fats(scenario: Scenario, pool: Sequence[Food]) -> list[Food]:
    """A rendered or raw fat and a skin, of a species on hand where there is one: energy without amino acids."""
    own = species_on_hand(scenario)
    fats = [food for food in pool if food.role == "fat" and food.species in {*own, *SPECIES}]
    fats.sort(key=lambda food: (food.species not in own, food.id))
    skins, others = [f for f in fats if "skin" in f.id], [f for f in fats if "skin" not in f.id]
    return [*others[:1], *skins[:1]]


def _supplement(food: Food, most_grams: Fraction) -> Item:
    unit = _unit(food)
    grams = measure_grams(food, unit, {}) if unit != "g" else Fraction(1)
    step = DEFAULT_STEPS.get(unit, Fraction(1))
    return Item(food, True, food.counts_as, unit, grams, available=most_grams / grams // step * step, step=step)


def _food(food: Food, most_grams: Fraction) -> Item:
    pieces = [measure for measure in food.measures.values() if food.role == "egg" and measure.unit not in VOLUMES]
    if pieces:  # eggs are counted
        grams = Fraction(str(pieces[0].grams))
        unit, step = pieces[0].unit, Fraction(1)
    else:
        grams, unit, step = Fraction(1), "g", DEFAULT_CUT_STEPS["g"]
    most = most_grams / grams // step * step
    return Item(food, food.role == "oil", food.counts_as, unit, grams, available=most, step=step)
