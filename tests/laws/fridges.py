"""Fridges to plan from that are far from the demos, each from its number: the same number gives the same fridge."""

from collections.abc import Sequence
from random import Random
from typing import Any

from catalog.records import Catalog, Food
from tests.altered import NAMES, UNREACHED, Data, demo, toml_text

SEED = 20261125
# Poultry passes what NRC allows of arachidonic acid, and meat what growth allows of methionine: drawn less often.
STANDARDS = ("aafco", "aafco", "aafco", "fediaf-75", "fediaf-75", "fediaf-100", "fediaf-100", "fediaf-100", "nrc")
STAGES = ("adult", "adult", "adult", "growth")
MIXED_DEMOS = [name for name in NAMES if name not in UNREACHED]
# One jar of each row makes a pantry from which most meats can be completed.
PANTRY = (
    ("taurine-powder", "taurine-capsule-500", "taurine-capsule-1000"),
    ("vitamin-e-softgel-100", "vitamin-e-softgel-200", "vitamin-e-softgel-dl-400", "vitamin-e-oil"),
    ("potassium-iodide-tablet-150", "potassium-iodide-drops-150", "kelp-tablet-225"),
    ("manganese-bisglycinate", "manganese-gluconate"),
    ("zinc-gluconate", "zinc-citrate-30"),
    ("copper-bisglycinate", "copper-gluconate"),
    ("thiamin-100", "thiamine-hcl-100", "yeast-brewers"),
    ("b-complex-50", "b-complex-25"),
    ("choline-bitartrate", "choline-chloride-70", "choline-bitartrate-capsule-250", "soy-lecithin-granules"),
    ("folic-acid-400", "folic-acid-800", "yeast-nutritional"),
    ("retinyl-palmitate-drops-1000", "cod-liver-oil", "retinyl-palmitate-drops"),
    ("selenium-yeast-50", "selenium-yeast-50", "selenium-yeast"),
    ("vitamin-k1-100",),
    ("vitamin-d3-drops-400", "vitamin-d3-tablet-400", "cod-liver-oil"),
    ("potassium-chloride", "potassium-gluconate-tablet-99"),
    ("salt-table", "salt-not-iodised"),
    ("salmon-oil", "fish-oil-softgel-1000", "sardine-oil"),
    ("eggshell-powder", "calcium-carbonate", "bone-meal"),
    ("magnesium-citrate", "magnesium-oxide"),
    ("iron-bisglycinate",),
    ("safflower-oil-linoleic", "corn-oil"),
)
STEPS = {
    "tsp": ("1/8 tsp", "1/4 tsp", "1/16 tsp"),
    "tbsp": ("1/4 tbsp", "1/2 tbsp"),
    "tablet": ("1/4 tablet", "1/2 tablet", "1 tablet"),
    "capsule": ("1/4 capsule", "1/2 capsule", "1 capsule"),
    "g": ("0.1 g", "0.05 g", "1 g"),
    "ml": ("0.1 ml", "1 ml", "0.5 ml"),
}
EXTRA = (
    ("taurine", "800 mg"),
    ("vitamin-e", "40 IU"),
    ("potassium", "2 g"),
    ("epa-dha", "300 mg"),
    ("thiamine", "3 mg"),
    ("magnesium", "200 mg"),
)


def fridge(number: int, catalog: Catalog) -> Data:
    """The fridge of a number, as the data of a scenario file."""
    random = Random(SEED * 1_000_003 + number)
    data: Data = {
        "title": f"Fridge {number}",
        "standard": random.choice(STANDARDS),
        "life_stage": random.choice(STAGES),
        "aim": random.choice(("cost", "fewest", "usual")),
    }
    if random.random() < 0.3:
        data["energy"] = "natural-foods"
    full = random.random() < 0.7
    if random.random() < (0.1 if full else 0.3):
        data["non_meat_cap"] = random.choice(("3 %", "8 %", "12 %", "20 %"))
    if random.random() < 0.4:
        data["water"] = random.choice(("1/2 cup", "250 ml", "2 cups", "100 g"))
    on_hand = _on_hand(random, catalog, full)
    jars = _jars(random, catalog, {entry["food"] for entry in on_hand}, full)
    if not any("amount" in entry for entry in on_hand if _is_meat(entry, catalog)):
        there = sum(_grams(entry["up_to"]) for entry in on_hand if _is_meat(entry, catalog))
        data["meat_at_least"] = f"{max(50, int(there * random.uniform(0.3, 0.9)) // 10 * 10)} g"
    if random.random() < 0.6:
        _add_prices(random, data, [*on_hand, *jars], catalog)
    if random.random() < 0.25:
        nutrient, amount = random.choice(EXTRA)
        data["limits"] = [{"nutrient": nutrient, "at_least": f"{amount} per 1000 kcal"}]
    usual = _usual(random, jars) if data["aim"] == "usual" else {}
    if data["aim"] == "usual" and not usual:
        data["aim"] = "cost"
    if usual:
        data["usual"] = usual
    if any("thiaminase" in catalog.foods[entry["food"]].tags for entry in on_hand) and random.random() < 0.6:
        for jar in jars:
            if "thiamine" in catalog.foods[jar["supplement"]].purposes:
                jar["apart"] = True  # raw fish with thiaminase destroys what goes into the mix
    return {**data, "on_hand": on_hand, "supplements": jars}


def altered_demo(number: int) -> Data:
    """A demo that can be mixed, with other amounts, prices, stocks, aims and standards, and a jar or two fewer."""
    random = Random(f"demo {number}")
    data = demo(random.choice(MIXED_DEMOS))
    data["standard"] = random.choice((data["standard"], *STANDARDS))
    data["life_stage"] = random.choice((data.get("life_stage", "adult"), *STAGES))
    data["aim"] = random.choice(("cost", "fewest", "usual" if "usual" in data else "cost"))
    for entry in data["on_hand"]:
        if "amount" in entry and random.random() < 0.5:
            entry["amount"] = f"{random.randint(5, 250)}0 g"
    for _ in range(random.choice((0, 0, 1, 2))):
        gone = data["supplements"].pop(random.randrange(len(data["supplements"])))
        data.get("usual", {}).pop(gone["supplement"], None)
    for jar in data["supplements"]:
        amount, _, rest = jar.get("price", "").partition(" for ")
        if rest and random.random() < 0.2:
            del jar["price"]
        elif rest and random.random() < 0.5:
            jar["price"] = f"{float(amount.strip('£$€')) * random.uniform(0.1, 10):.2f} for {rest}"
    if "usual" in data and (data["aim"] != "usual" or not data["usual"]):
        del data["usual"]
        data["aim"] = "cost" if data["aim"] == "usual" else data["aim"]
    return data


def text_of(data: Data) -> str:
    """The file that repeats a fridge."""
    return toml_text(data)


def _of_roles(catalog: Catalog, *roles: str) -> list[Food]:
    return [food for food in catalog.foods.values() if food.role in roles]


def _on_hand(random: Random, catalog: Catalog, full: bool) -> list[dict[str, Any]]:
    """3 to 10 foods: a meat or two, with or without bone, and what else stands around."""
    count = random.randint(3, 10)
    cuts = _of_roles(catalog, "cut")
    species = random.choice([food.species for food in cuts if food.species])
    same = [food for food in cuts if food.species == species]
    bony = [food for food in cuts if "bone-in" in food.id]
    kinds: list[tuple[Sequence[Food], int, int, float]] = [
        (same, 700 if full else 200, 3000, 1.0),
        (bony, 150, 1200, 0.6),
        (_of_roles(catalog, "organ"), 40, 500, 0.8),
        (_of_roles(catalog, "organ"), 40, 300, 0.6),
        (cuts, 200, 2500, 0.7),
        (_of_roles(catalog, "fish", "shellfish"), 50, 900, 0.4),
        (_of_roles(catalog, "egg"), 30, 250, 0.4),
        (_of_roles(catalog, "fat"), 40, 300, 0.5),
        (_of_roles(catalog, "oil"), 10, 100, 0.2),
        (_of_roles(catalog, "vegetable", "fruit", "grain", "seed", "fibre"), 10, 200, 0.3),
        (_of_roles(catalog, "dairy"), 20, 300, 0.2),
    ]
    found: dict[str, dict[str, Any]] = {}
    for foods, low, high, chance in kinds:
        if foods and len(found) < count and random.random() < chance:
            food = random.choice(foods)
            found.setdefault(food.id, _food_entry(random, food, low, high, full and food.counts_as != "meat"))
    while len(found) < 3:
        food = random.choice(cuts)
        found.setdefault(food.id, _food_entry(random, food, 200, 2000))
    return list(found.values())


def _food_entry(random: Random, food: Food, low: int, high: int, free: bool = False) -> dict[str, Any]:
    grams = max(10, int(low * (high / low) ** random.random()) // 10 * 10)
    text = f"{grams} g"
    if random.random() < 0.25:
        text = f"{grams / 28.349523125:.0f} oz" if grams >= 57 else text
    elif grams > 1000 and random.random() < 0.5:
        text = f"{grams / 1000:g} kg"
    key = "amount" if random.random() < 0.55 and not free else "up_to"
    entry = {"food": food.id, key: text}
    if key == "up_to" and random.random() < 0.1:
        entry["at_least"] = f"{max(10, grams // 40 * 10)} g"
    if key == "up_to" and random.random() < 0.2:
        step = random.choice(("1 g", "25 g", "50 g"))
        if "at_least" not in entry:  # with both there may be no step between at_least and up_to
            entry["step"] = step
    return entry


def _jars(random: Random, catalog: Catalog, taken: set[str], full: bool) -> list[dict[str, Any]]:
    """3 to 25 jars; a full pantry is one from which most meats can be completed, and hardly bound by hand."""
    count = random.randint(3, 25)
    every = [food.id for food in _of_roles(catalog, "supplement")]
    ids: list[str] = []
    if full:
        rows = [row for row in PANTRY if random.random() < 0.99]
        ids = [random.choice(row) for row in rows]
        count = max(count, len(ids))
    while len(ids) < min(count, 25):
        ids.append(random.choice(every))
    return [
        _jar_entry(random, catalog.foods[id_], 0.06 if full else 1.0) for id_ in dict.fromkeys(ids) if id_ not in taken
    ]


def _jar_entry(random: Random, food: Food, bound: float) -> dict[str, Any]:
    entry = {"supplement": food.id}
    labelled = [unit for unit, measure in food.measures.items() if measure.labelled]
    unit = (labelled or [*food.measures, "g"])[0]
    if unit in STEPS and random.random() < 0.5:
        entry["step"] = random.choice(STEPS[unit])
    chance = random.random() / bound
    few = random.choice((1, 2, 3))
    if chance < 0.04:
        entry["exactly"] = _count(few, unit)
    elif chance < 0.08:
        entry["at_least"] = _count(1, unit)
    elif chance < 0.16:
        entry["at_most"] = _count(few, unit)
    elif chance < 0.28:
        entry["left"] = _count(random.choice((2, 5, 30, 60)), unit)
    return entry


def _count(number: int, unit: str) -> str:
    return f"{number} {unit}" if number == 1 or unit in ("g", "ml", "tsp", "tbsp") else f"{number} {unit}s"


def _add_prices(random: Random, data: Data, entries: list[dict[str, Any]], catalog: Catalog) -> None:
    """Prices for most things, and perhaps a budget. Jars cost cents or dollars; one in five has no price."""
    data["currency"] = random.choice(("USD", "EUR", "GBP"))
    bare = random.choice((0.0, 0.2, 0.5))
    for entry in entries:
        if random.random() < bare:
            continue
        if "food" in entry:
            entry["price"] = f"{random.uniform(1, 20):.2f} per kg"
            continue
        food = catalog.foods[entry["supplement"]]
        labelled = [unit for unit, measure in food.measures.items() if measure.labelled]
        if labelled:
            entry["price"] = f"{random.uniform(2, 25):.2f} for {random.choice((60, 100, 200))} {labelled[0]}s"
        else:
            entry["price"] = f"{random.uniform(2, 30):.2f} for {random.choice((100, 250, 500))} g"
    if random.random() < 0.2:
        data["budget"] = f"{random.uniform(3, 40):.2f}"


def _usual(random: Random, jars: list[dict[str, Any]]) -> dict[str, str]:
    usual = {}
    for entry in jars:
        if random.random() < 0.4 and "exactly" not in entry:
            written = entry.get("step") or entry.get("left") or entry.get("at_most")
            if not written:
                continue
            number, _, unit = written.partition(" ")
            number = number if entry.get("step") else "1"
            per = random.choice(("", " per kg", " per 3 lb"))
            usual[entry["supplement"]] = f"{number} {unit}{per}"
    return usual


def _grams(text: str) -> float:
    number, unit = text.split()
    return float(number) * {"g": 1.0, "kg": 1000.0, "oz": 28.349523125}[unit]


def _is_meat(entry: dict[str, Any], catalog: Catalog) -> bool:
    return catalog.foods[entry["food"]].counts_as == "meat"
