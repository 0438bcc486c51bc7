"""Sweeps of one price or two as charts: least cost as a line of straight pieces, the best mixes as a map."""

from collections.abc import Sequence
from itertools import groupby, pairwise
from textwrap import wrap
from typing import TYPE_CHECKING

from optimizer.market.market_report import MarketReport
from optimizer.market.sweep_tables import PriceMap
from optimizer.render.files.charts import new_figure, note_below
from optimizer.render.market_answers import letter, map_title, prices_now, sweep_cells, sweep_title

if TYPE_CHECKING:
    from optimizer.render.files.charts import Axes, Figure

LEGEND_COLUMNS = 132  # characters of the legend that fit below a chart of WIDTH
WIDTH, PAGE_WIDTH, HEIGHT, LINE = 7.0, 5.2, 4.0, 0.125  # inches: alone, within a page; a line of the legend
LEAST_APART = 0.026  # of the width: letters nearer than this would overlap
GREYS = ("1.0", "0.8", "0.92", "0.65")
HATCHES = ("", "////", "....", "xxxx", "----")


def sweep_chart(report: MarketReport, note: str = "", legend: bool = True) -> "Figure":
    """The least cost against one price. Letters stand over the prices between which a mix is best; with `legend`
    what each is stands below. A gap is a price that was not looked at, or at which no mix keeps every limit."""
    sweep, rows = report.sweep, report.sweep_rows
    assert sweep is not None
    currency = report.trip.basket.sheet.currency
    words = [f"{a}  {prices}: {costs} {currency}; {mix}" for a, prices, costs, mix in sweep_cells(report)]
    below = [*_legend(words), ""] if legend else []
    figure, axes = new_figure(WIDTH if legend else PAGE_WIDTH, HEIGHT + LINE * len(below))
    for segment in sweep.segments:
        if segment.line is not None:
            costs = [float(segment.line.at(price)) for price in (segment.low, segment.high)]
            axes.plot([float(segment.low), float(segment.high)], costs, color="black", lw=1.8, solid_capstyle="round")
    varied = sweep.price_range
    low, high = float(varied.low), float(varied.high)
    for number, row in enumerate(rows):
        if number % 2:
            axes.axvspan(float(row.low), float(row.high), color="0.92", lw=0)
    _letters(axes, [(float(r.low) + float(r.high)) / 2 for r in rows], low, high)
    _changes(axes, [(float(b.low), b.cost_low) for a, b in pairwise(rows) if a.high == b.low], low, high)
    for price in sorted({float(p) for p in prices_now(varied).values() if low <= p <= high}):
        axes.plot(price, 0, "k^", ms=8, mfc="white", clip_on=False, transform=axes.get_xaxis_transform(), zorder=5)
    axes.set_xlim(low, high)
    axes.margins(y=0.12)
    axes.set_xlabel(f"{varied.label}, {currency} per {varied.unit} (triangle: as it is)", fontsize=9)
    axes.set_ylabel(f"least cost, {currency}", fontsize=9)
    axes.tick_params(labelsize=9)
    if legend:
        figure.suptitle("\n".join(wrap(f"{report.trip.basket.sheet.title}: {sweep_title(report)}", 95)), fontsize=9)
    note_below(figure, "\n".join([*below, note]).rstrip("\n"))
    return figure


def _letters(axes: "Axes", middles: Sequence[float], low: float, high: float) -> None:
    """A letter over each segment, moved aside where they would overlap."""
    for number, place in enumerate(moved_apart(middles, low, high)):
        axes.annotate(
            letter(number),
            (middles[number], 1.0),
            (place, 1.03),
            xycoords=axes.get_xaxis_transform(),
            textcoords=axes.get_xaxis_transform(),
            ha="center",
            fontsize=10,
            weight="bold",
            arrowprops={"arrowstyle": "-", "lw": 0.5, "shrinkA": 0, "shrinkB": 0},
        )


def _changes(axes: "Axes", found: Sequence[tuple[float, object]], low: float, high: float) -> None:
    """A line and a dot at each price where the mix changes, with the price."""
    places = moved_apart([price for price, _ in found], low, high)
    for (price, cost), place in zip(found, places, strict=True):
        axes.axvline(price, color="0.35", lw=0.8, ls=":")
        if cost is not None:
            axes.plot(price, float(str(cost)), "ko", ms=5)
        axes.text(
            place,
            0.02,
            f"{price:.2f}",
            transform=axes.get_xaxis_transform(),
            rotation=90,
            ha="center",
            va="bottom",
            fontsize=8,
            bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.8},
        )


def moved_apart(places: Sequence[float], low: float, high: float) -> list[float]:
    """Places in order, moved apart to LEAST_APART of the width, as little as can be and within it."""
    least = (high - low) * min(LEAST_APART, 1 / max(len(places), 1))
    found = list(places)
    for i in range(1, len(found)):
        found[i] = max(found[i], found[i - 1] + least)
    if found:
        found[-1] = min(found[-1], high)
    for i in reversed(range(len(found) - 1)):
        found[i] = min(found[i], found[i + 1] - least)
    return found


def map_chart(found: PriceMap, title: str, currency: str, note: str = "", legend: bool = True) -> "Figure":
    """Two prices: the best mix at each, told apart by grey, hatch and letter; what each is stands below."""
    words = [f"{name}  {'; '.join(mix)}" for name, mix in found.mixes]
    below = [*_legend(words), ""] if legend else []
    figure, axes = new_figure(WIDTH if legend else PAGE_WIDTH, HEIGHT + 0.5 + LINE * len(below))
    shades = {
        name: (GREYS[i % len(GREYS)], HATCHES[i // len(GREYS) % len(HATCHES)])
        for i, (name, _) in enumerate(found.mixes)
    }
    lefts = _edges([float(price) for price in found.prices])
    bottoms = _edges([float(price) for price, _ in found.rows])
    for row, (_, letters) in enumerate(found.rows):
        column = 0
        for name, run in groupby(letters):
            end = column + len(list(run))
            shade, hatch = shades.get(name, ("1.0", ""))
            x, y, width = lefts[column], bottoms[row + 1], lefts[end] - lefts[column]
            axes.bar(
                x, bottoms[row] - y, width, y, align="edge", color=shade, hatch=hatch, edgecolor="0.6", lw=0, zorder=1
            )
            axes.plot([x + width] * 2, [y, bottoms[row]], color="black", lw=1, zorder=2)
            axes.text(
                x + width / 2,
                (y + bottoms[row]) / 2,
                name,
                ha="center",
                va="center",
                fontsize=min(9, 110 / len(found.rows)),
                bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.6} if hatch else None,
                zorder=3,
            )
            column = end
    for row, ((_, above), (_, beneath)) in enumerate(pairwise(found.rows)):
        for column, (one, other) in enumerate(zip(above, beneath, strict=True)):
            if one != other:
                axes.plot(lefts[column : column + 2], [bottoms[row + 1]] * 2, color="black", lw=1, zorder=2)
    axes.set_xlim(lefts[0], lefts[-1])
    axes.set_ylim(bottoms[-1], bottoms[0])
    axes.set_xlabel(f"{found.across.label}, {currency} per {found.across.unit}", fontsize=9)
    axes.set_ylabel(f"{found.down.label}, {currency} per {found.down.unit}", fontsize=9)
    axes.tick_params(labelsize=9)
    if legend:
        figure.suptitle("\n".join(wrap(f"{title}: {map_title(found, currency)}", 95)), fontsize=9)
    note_below(figure, "\n".join([*below, note]).rstrip("\n"))
    return figure


def _edges(centres: Sequence[float]) -> list[float]:
    """The edges of cells around their centres."""
    if len(centres) == 1:
        return [centres[0] + 0.5, centres[0] - 0.5]
    middles = [(a + b) / 2 for a, b in pairwise(centres)]
    return [2 * centres[0] - middles[0], *middles, 2 * centres[-1] - middles[-1]]


def _legend(entries: Sequence[str]) -> list[str]:
    """Entries as lines; a number of packages stays with their size, and a sign with what it is of."""
    kept = {" × ": "\u00a0×\u00a0", "; + ": "; +\u00a0", "; - ": "; -\u00a0"}
    whole = list(entries)
    for words, together in kept.items():
        whole = [entry.replace(words, together) for entry in whole]
    return [line for entry in whole for line in wrap(entry, LEGEND_COLUMNS, subsequent_indent="    ")]
