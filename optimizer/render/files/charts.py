"""Charts as SVG or PNG, legible in grey, the same for the same input; matplotlib loads when the first is drawn."""

from collections.abc import Sequence
from datetime import date
from io import BytesIO, StringIO
from threading import Lock
from typing import TYPE_CHECKING, Any

from optimizer.journal.history import Trend
from optimizer.render.bars import CEILING, TARGET, bar
from optimizer.render.marks import MARKS
from optimizer.render.sureness import asked_text, chance_text
from optimizer.sheet.contributions import Contributions
from optimizer.sheet.numbers import there_text
from optimizer.sheet.sheet import Sheet
from optimizer.sureness.chances import SURE_ENOUGH

if TYPE_CHECKING:
    from matplotlib.axes import Axes as Axes
    from matplotlib.figure import Figure as Figure

    from optimizer.tradeoff import FrontPoint, SurePoint

_SETTINGS = Lock()
LEAST_SHOWN = 0.005  # of a nutrient: an ingredient below it in everything is left out of the chart of sources
LINES = (("-", "o"), ("--", "s"), (":", "^"), ("-.", "D"))


def svg_text(figure: "Figure") -> str:
    """The figure as SVG, without a time stamp."""
    import matplotlib as mpl

    out = StringIO()
    # matplotlib reads these two from settings of the whole process while it writes: one thread at a time
    with _SETTINGS, mpl.rc_context({"svg.hashsalt": "weighout", "svg.fonttype": "path"}):
        _as_written(figure)
        figure.savefig(out, format="svg", metadata={"Date": None, "Creator": None})
    return out.getvalue()


def png_bytes(figure: "Figure") -> bytes:
    """The figure as PNG at 150 dots an inch."""
    out = BytesIO()
    _as_written(figure)
    figure.savefig(out, format="png", dpi=150, metadata={"Software": None})
    return out.getvalue()


def _as_written(figure: "Figure") -> None:
    """Takes every text as it is written: two dollar signs in a title or a name hold no formula."""
    from matplotlib.text import Text

    for text in figure.findobj(Text):
        assert isinstance(text, Text)
        text.set_parse_math(False)


def new_figure(width: float, height: float) -> tuple["Figure", "Axes"]:
    """An empty figure of so many inches, with axes to the left and below."""
    from matplotlib.figure import Figure as Figure

    figure = Figure(figsize=(width, height), layout="constrained")
    axes = figure.subplots()
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    return figure, axes


def sure_chart(sheet: Sheet, note: str = "") -> "Figure":
    """The chance of each limit that is not all but sure, the least first, and of all of them at once."""
    assert sheet.sureness is not None
    chances = sheet.sureness.chances
    rows = [("all limits at once", chances.together)]
    rows += [
        (f"{one.name} {'at least' if one.bound == 'minimum' else 'at most'}", one.chance)
        for one in sorted(chances.limits, key=lambda one: one.chance)
        if one.chance < SURE_ENOUGH
    ]
    figure, axes = new_figure(8, 0.3 * len(rows) + 1.4)
    for place, (_, chance) in enumerate(rows):
        axes.barh(place, 100 * chance, height=0.55, color="black" if place == 0 else "0.55")
        axes.text(min(100 * chance + 1, 101), place, chance_text(chance), va="center", fontsize=8)
    axes.set_yticks(range(len(rows)), [name for name, _ in rows], fontsize=8)
    axes.set_xlim(0, 118)
    axes.set_xticks(range(0, 101, 20))
    axes.invert_yaxis()
    axes.set_xlabel("chance that it holds, %", fontsize=9)
    axes.set_title(f"{sheet.title}: how sure each limit is", fontsize=10, loc="left")
    note_below(figure, note)
    return figure


def limits_chart(sheet: Sheet, note: str = "") -> "Figure":
    """Every limit of the standard: amount, target and ceiling on one scale each (that of `render/bars.py`)."""
    lines = [n for n in sheet.assessment.nutrients if n.minimum is not None or n.maximum is not None]
    figure, axes = new_figure(8, 0.27 * len(lines) + 1.6)
    for row, line in enumerate(lines):
        place = bar(line.per_1000_kcal, line.high_per_1000_kcal, line.minimum, line.maximum, line.status)
        axes.barh(row, place.low, height=0.5, color="black")
        if place.high > place.low:
            axes.barh(row, place.high - place.low, left=place.low, height=0.34, color="0.8", edgecolor="black", lw=0.5)
        if place.is_short:
            axes.barh(row, TARGET - place.low, left=place.low, height=0.7, fill=False, ls="--", lw=1)
        if place.is_over:
            axes.barh(row, place.high - CEILING, left=CEILING, height=0.8, color="white", hatch="////", ec="black")
        for limit, style in ((place.minimum, "-"), (place.maximum, "--")):
            if limit is not None:
                axes.plot([limit, limit], [row - 0.42, row + 0.42], color="black", ls=style, lw=1.4)
        there = there_text(line.per_1000_kcal, line.high_per_1000_kcal, line.maximum)
        words = f"{there} {line.nutrient.unit}  {MARKS[line.status]}"
        axes.text(102, row, words, va="center", fontsize=8, weight="bold" if line.status != "met" else "normal")
    axes.set_yticks(range(len(lines)), [line.nutrient.name for line in lines], fontsize=8)
    axes.set_ylim(len(lines) - 0.4, -0.6)
    axes.set_xlim(0, 100)
    axes.set_xticks([0, TARGET, CEILING], ["0", "target", "ceiling"], fontsize=8)
    axes.set_title(f"{sheet.title}: per 1000 kcal", fontsize=10, loc="left")
    note_below(figure, note)
    return figure


def sources_chart(sheet: Sheet, contributions: Contributions, note: str = "") -> "Figure":
    """Which ingredient brings which nutrient: shares of each nutrient's total, in per cent, darker for more."""
    lines = [n for n in sheet.assessment.nutrients if n.total > 0 and n.nutrient.id != "water"]
    shares = [contributions.shares(line.nutrient.id) for line in lines]
    kept = [i for i in range(len(contributions.ingredients)) if max(row[i] for row in shares) >= LEAST_SHOWN]
    grid = [[row[i] for i in kept] for row in shares]
    figure, axes = new_figure(0.42 * len(kept) + 3, 0.2 * len(lines) + 2.4)
    axes.imshow(grid, cmap="Greys", vmin=0, vmax=1.15, aspect="auto")
    for y, row in enumerate(grid):
        for x, share in enumerate(row):
            if share >= LEAST_SHOWN:
                shade = "white" if share > 0.6 else "black"
                axes.text(x, y, f"{100 * share:.0f}", ha="center", va="center", fontsize=7, color=shade)
    names = [_short(contributions.ingredients[i].line.name) for i in kept]
    axes.set_xticks(range(len(kept)), names, rotation=60, ha="left", rotation_mode="anchor", fontsize=7.5)
    axes.xaxis.tick_top()
    axes.set_yticks(range(len(lines)), [line.nutrient.name for line in lines], fontsize=7.5)
    axes.tick_params(length=0)
    note_below(figure, note)
    return figure


def costs_chart(sheet: Sheet, note: str = "") -> "Figure":
    """What each ingredient costs, the dearest first; what has no price is left out."""
    priced = sorted((n for n in sheet.lines if n.cost is not None), key=lambda n: -(n.cost or 0))
    figure, axes = new_figure(8, 0.3 * len(priced) + 1.2)
    costs = [float(line.cost or 0) for line in priced]
    whole = sum(costs) or 1.0
    axes.barh(range(len(priced)), costs, color="0.55", edgecolor="black")
    for row, (line, cost) in enumerate(zip(priced, costs, strict=True)):
        axes.text(cost, row, f"  {line.cost} {sheet.currency}, {cost / whole:.0%}", va="center", fontsize=8)
    axes.set_yticks(range(len(priced)), [_short(line.name) for line in priced], fontsize=8)
    axes.set_ylim(len(priced) - 0.4, -0.6)
    axes.set_xlim(0, max(costs, default=1.0) * 1.25)
    axes.set_xlabel(sheet.currency, fontsize=8)
    note_below(figure, note)
    return figure


def front_chart(points: Sequence["FrontPoint"], currency: str, note: str = "") -> "Figure":
    """The front between cost and number of supplements."""
    figure, axes = new_figure(6, 4)
    counts, costs = [p.supplements for p in points], [float(p.cost) for p in points]
    axes.step(counts, costs, where="post", color="0.5")
    axes.plot(counts, costs, "ko")
    for point in points:
        axes.annotate(
            str(point.cost), (point.supplements, float(point.cost)), (4, 5), textcoords="offset points", fontsize=8
        )
    axes.set_xticks(counts)
    axes.set_xlabel("supplements")
    axes.set_ylabel(f"cheapest mix, {currency}")
    note_below(figure, note)
    return figure


def sure_front_chart(points: Sequence["SurePoint"], currency: str, note: str = "") -> "Figure":
    """What sureness costs: the chance of all limits at once against the cost, with the number of supplements."""
    figure, axes = new_figure(6, 4)
    costs = [float(p.cost or 0) for p in points]
    axes.plot(costs, [100 * p.together for p in points], color="0.5")
    axes.plot(costs, [100 * p.together for p in points], "ko")
    for point, cost in zip(points, costs, strict=True):
        words = f"{asked_text(point.asked)}, {point.supplements}"
        axes.annotate(words, (cost, 100 * point.together), (5, -3), textcoords="offset points", fontsize=7)
    axes.set_ylim(0, 105)
    axes.margins(x=0.25)
    axes.set_xlabel(f"cost of the batch, {currency}" if currency else "nothing has a price")
    axes.set_ylabel("all limits at once, %")
    axes.set_title("Each limit asked for, number of supplements", fontsize=9, loc="left")
    note_below(figure, note)
    return figure


def lines_chart(
    title: str,
    x_label: str,
    y_label: str,
    series: Sequence[tuple[str, Sequence[tuple[float | date, float]]]],
    note: str = "",
) -> "Figure":
    """Named series of points, told apart by line and mark: the history of something (x a date or a number)."""
    figure, axes = new_figure(7, 4)
    for position, (name, points) in enumerate(series):
        line, mark = LINES[position % len(LINES)]
        xs: list[Any] = [x for x, _ in points]
        axes.plot(xs, [y for _, y in points], ls=line, marker=mark, color="black", ms=4, label=name)
    axes.set_title(title, fontsize=10, loc="left")
    axes.set_xlabel(x_label)
    axes.set_ylabel(y_label)
    if len(series) > 1:
        axes.legend(frameon=False, fontsize=8)
    if any(isinstance(x, date) for _, points in series for x, _ in points):
        figure.autofmt_xdate()
    note_below(figure, note)
    return figure


def note_below(figure: "Figure", note: str) -> None:
    """Where the chart comes from, below it."""
    if note:
        figure.supxlabel(note, fontsize=6.5, x=0.01, ha="left")


def _short(name: str) -> str:
    return name if len(name) <= 34 else name[:33].rstrip(" ,") + "…"


def trend_chart(trend: Trend) -> "Figure":
    """The trend as a chart, with its target and its ceiling."""
    from optimizer.render.files.charts import lines_chart

    lines = (
        (trend.name, [(date.fromisoformat(point.made_on), point.value) for point in trend.points]),
        ("at least", [(date.fromisoformat(point.made_on), point.minimum) for point in trend.points]),
        ("at most", [(date.fromisoformat(point.made_on), point.maximum) for point in trend.points]),
    )
    series = [(name, [(day, value) for day, value in points if value is not None]) for name, points in lines]
    title = f"{trend.name[:1].upper()}{trend.name[1:]}, batch by batch"
    return lines_chart(title, "made", trend.unit, [(name, points) for name, points in series if points])
