"""How much energy a cat needs in a day, by published equations: kg of body weight -> kcal of metabolisable energy.

Each equation gives an average; single cats differ by tens of percent (FEDIAF), so a portion follows the scale.
"""

import math
from dataclasses import dataclass

# Kcal per kg body weight and day at the peak, by litter, and the share of it in weeks 1 to 7 (NRC 2006).
_MILK = ((2, 18.0), (4, 60.0), (math.inf, 70.0))
_WEEKS = (0.9, 0.9, 1.2, 1.2, 1.1, 1.0, 0.8)


@dataclass(frozen=True, slots=True)
class Need:
    """A day's energy in kcal, the equation it comes from, its source key, and how that is known (read | memory)."""

    kcal: float
    equation: str
    source: str
    confidence: str


def resting(weight_kg: float) -> Need:
    """Resting energy: what the body spends at rest. Textbook."""
    return Need(70 * weight_kg**0.75, "70 x kg^0.75", "textbook-energy", "read")


def active(weight_kg: float) -> Need:
    """A lean, active adult. NRC 2006; FEDIAF's active cat."""
    return Need(100 * weight_kg**0.67, "100 x kg^0.67", "nrc-2006-energy", "read")


def quiet(weight_kg: float) -> Need:
    """A neutered or indoor adult. FEDIAF."""
    return Need(75 * weight_kg**0.67, "75 x kg^0.67", "fediaf-energy", "read")


def overweight(weight_kg: float) -> Need:
    """An overweight adult, by its present weight. NRC 2006."""
    return Need(130 * weight_kg**0.40, "130 x kg^0.40", "nrc-2006-energy", "read")


def growing(weight_kg: float, mature_kg: float) -> Need:
    """A kitten after weaning, from its weight and the weight it is expected to reach. NRC 2006."""
    share = weight_kg / mature_kg
    factor = 6.7 * (math.exp(-0.189 * share) - 0.66)
    equation = "100 x kg^0.67 x 6.7 x (e^(-0.189 p) - 0.66), p = kg / grown kg"
    return Need(100 * weight_kg**0.67 * factor, equation, "nrc-2006-energy", "memory")


def pregnant(weight_kg: float) -> Need:
    """A pregnant queen, by her weight at mating. NRC 2006, FEDIAF."""
    return Need(140 * weight_kg**0.67, "140 x kg^0.67", "nrc-2006-energy", "memory")


def nursing(weight_kg: float, kittens: int, week: int) -> Need:
    """A nursing queen in week 1 to 7, with so many kittens. NRC 2006."""
    per_kg = next(kcal for most, kcal in _MILK if kittens <= most)
    kcal = 100 * weight_kg**0.67 + per_kg * weight_kg * _WEEKS[week - 1]
    equation = f"100 x kg^0.67 + {per_kg:g} x kg x {_WEEKS[week - 1]:g}"
    return Need(kcal, equation, "nrc-2006-energy", "memory")
