"""How far each line of a sheet may be off before a limit is missed.

Of the limits that the batch keeps, and the guards it does not pass, each has some room; a line may use all of it with
everything else right. All lines are then off at random, evenly within their tolerances: they are narrowed together
until every limit still holds in 95 of 100 bowls. A tenth of a line is the most (common practice: what is far off mixes
badly).
"""

from collections.abc import Sequence
from math import sqrt

import numpy as np

from catalog.kinds import Basis
from catalog.nutrition.composition import Blend
from catalog.nutrition.guards import guards
from catalog.records import Catalog
from optimizer.assess.assessment import TOLERANCE
from optimizer.assess.batch import Amount, BatchSums, applies, blend_of, sums_of
from optimizer.scenario.records import Scenario
from optimizer.sureness.forms import MASS, MAXIMUM, MINIMUM, TAG, Floats, Form, form_of, forms_of

MOST = 0.10  # of a line
MISSED = 0.05  # of the bowls may miss a limit
NORMAL_95 = 1.645  # standard deviations that hold 95 of 100 from below
BOWLS, SEED = 2_000, 1
NARROWER, MOST_ROUNDS = 0.9, 100


def tolerances(scenario: Scenario, catalog: Catalog, amounts: Sequence[Amount]) -> dict[str, float]:
    """The grams by which each of these amounts may be off either way, by the id of its item."""
    used = [(amount, blend_of(amount, scenario, catalog)) for amount in amounts if amount.count > 0]
    batch = sums_of(used, catalog)
    forms = [*forms_of(scenario, catalog, used, batch), *_guards(scenario, catalog, used, batch)]
    each = np.array([[_per_gram(form, i, used[i]) for form in forms] for i in range(len(used))])
    grams = np.array([amount.grams for amount, _ in used])
    room = np.array([form.constant for form in forms]) + grams @ each
    kept = room >= -TOLERANCE * (grams @ np.abs(each))
    room = np.maximum(room, 0.0)
    alone = MOST * grams
    for i, row in enumerate(each[:, kept]):
        moves = row != 0
        if moves.any():
            alone[i] = min(alone[i], float((room[kept][moves] / np.abs(row[moves])).min()))
    narrowed = _narrowed(alone, each[:, kept], room[kept])
    return {amount.item.id: float(g) for (amount, _), g in zip(used, narrowed, strict=True)}


def _guards(scenario: Scenario, catalog: Catalog, used: Sequence[tuple[Amount, Blend]], batch: BatchSums) -> list[Form]:
    """The guards as forms; what passes one has no room to lose."""
    return [
        form_of(guard, MAXIMUM, scenario, catalog, used, batch)
        for guard in guards(catalog, scenario.standard)
        if applies(guard.condition, batch)
    ]


def _per_gram(form: Form, item: int, counted: tuple[Amount, Blend]) -> float:
    """What a gram of an item adds to the room in a limit, as the assessment counts it: the low figure towards a target,
    the high one towards a ceiling, the best one of all else. A legal maximum counts jars alone by their high figures
    (`optimizer.assess.batch.legal_amount`)."""
    amount, content = counted
    best = form.limit.is_legal and not amount.item.is_jar
    total = 0.0
    for key, weight in form.weights[item].items():
        if key == MASS:
            total += weight
        elif key.startswith(TAG):
            total += weight * content.tag_shares.get(key.removeprefix(TAG), 0.0)
        elif key == form.limit.nutrient and form.limit.basis != Basis.RATIO and weight * _sign(form) > 0 and not best:
            figure = content.contents[key]
            total += weight * (figure.low if form.bound == MINIMUM else figure.high)
        else:
            total += weight * content.contents[key].value
    return total


def _sign(form: Form) -> float:
    return 1.0 if form.bound == MINIMUM else -1.0


def _narrowed(alone: Floats, each: Floats, room: Floats) -> Floats:
    """The tolerances with all lines off at random. A limit that they would miss too often narrows all lines that move
    it; then all are narrowed until all limits together hold often enough."""
    found = alone.copy()
    for limit in range(each.shape[1]):
        spread = sqrt(float(((found * each[:, limit]) ** 2).sum()) / 3)
        if spread > 0 and NORMAL_95 * spread > room[limit]:
            found[each[:, limit] != 0] *= room[limit] / (NORMAL_95 * spread)
    off = np.random.default_rng(SEED).uniform(-1.0, 1.0, (BOWLS, len(found)))
    for _ in range(MOST_ROUNDS):
        missed = (off * found) @ each < -room - TOLERANCE * (found @ np.abs(each))
        if missed.any(axis=1).mean() <= MISSED:
            break
        worst = int(missed.mean(axis=0).argmax())
        found[each[:, worst] != 0] *= NARROWER
    return found
