"""How sure a mix is, in words: the same in every output."""

from collections.abc import Sequence
from dataclasses import dataclass

from catalog.units.quantities import write_count
from optimizer.sheet.numbers import money_text
from optimizer.sheet.sheet import Sheet
from optimizer.sureness.chances import SURE_ENOUGH, LimitChance
from optimizer.sureness.helps import Help, HelpKind
from optimizer.sureness.told import Surer, ToldSureness

MOSTLY = 0.5
KNOWN = {True: "most spreads that decide are assumed", False: "most spreads that decide are published"}
VARIES = "food and spoons vary"


def chance_text(chance: float, below: float | None = None) -> str:
    """A chance as a round share: no more exact than spreads are known. Where it is `below` a chance that was asked for,
    rounding does not lift it there."""
    percent = 100 * chance
    shown = 5 * round(percent / 5) if 10 <= percent <= 90 else 100 if percent > 99 else round(percent)
    if below is not None and percent < 100 * below <= shown:
        return f"just under {100 * below:g} %"
    if percent < 1:
        return "under 1 %"
    return "over 99 %" if percent > 99 else f"about {shown} %"


def asked_text(asked: float | None) -> str:
    """How sure a plan was asked to be of each limit."""
    return "as it is" if asked is None else "as sure as can be" if asked == 1 else f"{100 * asked:g} %"


def together_text(told: ToldSureness) -> str:
    """The chance of all limits at once, behind the words that each is met on average."""
    return f", all at once in {chance_text(told.chances.together)} of such batches"


def limit_text(one: LimitChance, below: float | None = None) -> str:
    """A limit with its chance: "calcium at least (about 60 %)"."""
    return f"{one.name} {'at least' if one.bound == 'minimum' else 'at most'} ({chance_text(one.chance, below)})"


def limits_text(limits: Sequence[LimitChance], below: float | None = None) -> str:
    """Limits with their chances, one behind the other."""
    return ", ".join(limit_text(one, below) for one in limits)


def sureness_lines(sheet: Sheet) -> list[str]:
    """What is told of it: how sure, the weakest limits, what helps most; what a surer plan would come to. Nothing where
    a limit is missed as it is."""
    told = sheet.sureness
    if told is None or sheet.assessment.misses:
        return []
    start = f"How sure: all limits at once in {chance_text(told.chances.together)} of such batches, since {VARIES};"
    lines = [f"{start} {KNOWN[told.chances.assumed > MOSTLY]}."]
    if told.chances.weakest:
        lines.append(f"Weakest: {limits_text(told.chances.weakest)}.")
    lines += _asked(told)
    if told.helps:
        helps = "; ".join(help_text(one, told.chances.together) for one in told.helps)
        lines.append(f"What helps most: {helps}.")
    if told.surer is not None:
        lines.append(_surer(told.surer, sheet))
    return lines


@dataclass(frozen=True, slots=True)
class ChanceRow:
    """A row of a table of chances."""

    id: str
    name: str
    side: str
    chance: str


def chance_rows(sheet: Sheet) -> list[ChanceRow]:
    """The limits that are not all but sure, the least sure first."""
    if sheet.sureness is None:
        return []
    unsure = [one for one in sheet.sureness.chances.limits if one.chance < SURE_ENOUGH]
    return [
        ChanceRow(one.nutrient, one.name, "at least" if one.bound == "minimum" else "at most", chance_text(one.chance))
        for one in sorted(unsure, key=lambda one: one.chance)
    ]


def _asked(told: ToldSureness) -> list[str]:
    """What cannot be held as surely as was asked."""
    if told.asked is None:
        return []
    found = []
    percent = f"{100 * told.asked:g} %"
    if told.unsure:
        names = limits_text(told.unsure, told.asked)
        found.append(f"Not held with {percent}, but as surely as what is on hand can: {names}.")
    if not told.reached:
        words = "all others at once" if told.unsure else "all limits at once" if told.at_once else "each limit"
        found.append(
            f"Time ran out before a mix was found that holds {words} with {percent}: this is the plan without that "
            "wish. Ask again with more time (--seconds)."
            if told.out_of_time
            else f"No mix was found that holds {words} with {percent}; this is the surest found."
        )
    elif told.unsure and not told.at_once and told.chances.together < MOSTLY:
        found.append(
            "Asking less of each limit can hold all at once more often: --aim surest looks for the mix that does so "
            "most often."
        )
    return found


def help_text(one: Help, now: float) -> str:
    """One way, with the chance that all limits have then; they are held at once with the chance `now`."""
    chance = chance_text(one.together)
    if chance == chance_text(now):
        chance = "a little more often"
    then = f"({chance} then)" if one.kind is HelpKind.STEP else f"({chance} if it is as expected)"
    if one.kind is HelpKind.WEIGH:
        return f"weigh the {one.name} instead of taking it by the {one.unit} {then}"
    if one.kind is HelpKind.BONE:
        return f"weigh the bone of the {one.name} once and state its bone_share {then}"
    if one.kind is HelpKind.LAB:
        return f"have a laboratory measure the {one.name} of the batch {then}"
    return f"{write_count(abs(one.by), one.unit)} {'more' if one.by > 0 else 'less'} of the {one.name} {then}"


def _surer(surer: Surer, sheet: Sheet) -> str:
    """What a plan with --sure would come to."""
    more = surer.supplement_count - sheet.supplement_count
    jars = f"{abs(more)} supplement{'s' * (abs(more) != 1)} {'more' if more > 0 else 'fewer'}" if more else ""
    cost = ""
    if surer.cost is not None and sheet.cost is not None:
        cost = f"{surer.cost} instead of {money_text(sheet.cost, sheet.currency)}"
    bill = ", ".join(part for part in (cost, jars) if part) or "as many supplements"
    then = f"all at once then in {chance_text(surer.together)} of batches"
    left = f"; {limits_text(surer.unsure, surer.chance)} cannot be held so" if surer.unsure else ""
    percent = f"{100 * surer.chance:g}"
    return f"To hold each limit in {percent} % of such batches (--sure {percent}%): {bill}; {then}{left}."
