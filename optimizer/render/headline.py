"""The first line of a plan: the whole truth in a sentence."""

from optimizer.assess.result import OVER, RANGE
from optimizer.render.sureness import together_text
from optimizer.scenario.aims import AIMS
from optimizer.sheet.sheet import ASSESSED, OUT_OF_REACH, OUT_OF_TIME, PLANNED, Sheet

MOST_RANGES = 2
ASK = "Ask a veterinarian before you feed it."
MET = "Every limit is met on average figures"
OWN_MET = "No standard was asked for. Every limit of your own is met on average figures"
OUT = {
    OUT_OF_REACH: "No mix of what is on hand meets every limit. This is the nearest one; do not feed it as it is.",
    OUT_OF_TIME: "No mix was found in the time allowed, and none was ruled out. This is the nearest one found.",
}


def headline(sheet: Sheet) -> str:
    """Whether every limit is met, and what else decides: guards and common shares passed, the budget, ranges."""
    clauses = _clauses(sheet)
    if sheet.status == ASSESSED:
        if sheet.assessment.all_met:
            start = f"As written, {MET[0].lower()}{MET[1:]}" if _by_standard(sheet) else f"As written: {OWN_MET}"
            sure = together_text(sheet.sureness) if sheet.sureness else ""
            return _sentence(start + sure, clauses) + (f" {ASK}" if _harmful(sheet) else "")
        return _missed(clauses) + (" Do not feed it as it is." if _harmful(sheet) else "")
    if sheet.status == PLANNED:
        return f"{met(sheet)} Aim: {AIMS[sheet.aim].words}."
    said = [f"{text[0].upper()}{text[1:]}." for text in _decisive(sheet)]
    return " ".join([OUT[sheet.status], *said])


def met(sheet: Sheet) -> str:
    """That every limit of a plan is met, and what that depends on."""
    sure = together_text(sheet.sureness) if sheet.sureness else ""
    return _sentence((MET if _by_standard(sheet) else OWN_MET) + sure, _clauses(sheet)) + (
        f" {ASK}" if _harmful(sheet) else ""
    )


def _by_standard(sheet: Sheet) -> bool:
    """Whether a publication or a person's own standard has a say, beside limits of the scenario."""
    return bool(sheet.scenario.standard.mandatory)


def _clauses(sheet: Sheet) -> list[str]:
    """What a plan depends on; of many figures that the bone moves only the names, where each would be a line."""
    found = sheet.assessment.depends_on
    of_range = [each for each in found if each.kind == RANGE]
    ranges = [each.text for each in of_range]
    if len(of_range) > MOST_RANGES:
        ranges = [f"{', '.join(each.name for each in of_range)} depend on the bone"]
    return [*(each.text for each in found if each.kind != RANGE), *ranges]


def _missed(clauses: list[str]) -> str:
    return _sentence("As written, these amounts miss some limits", clauses)


def _harmful(sheet: Sheet) -> bool:
    """Whether something that is toxic in excess is over a ceiling or a guard."""
    found = sheet.assessment
    over = any(line.status == OVER and line.nutrient.toxic for line in found.nutrients)
    return over or any(guard.nutrient.toxic for guard in found.above_guards)


def _decisive(sheet: Sheet) -> list[str]:
    """What the nearest mix passes, and the guards that stand in its way."""
    passed = [each.text for each in sheet.assessment.depends_on if each.kind != "range"]
    guards = dict.fromkeys(conflict.guard for conflict in sheet.reasons.conflicts if conflict.guard)
    return [*passed, *list(guards)[:1]]


def _sentence(start: str, clauses: list[str]) -> str:
    return "; ".join([start, *clauses]) + "."
