"""Draws of the room in each limit: stratified in everything that varies, the same for the same mix."""

from collections.abc import Sequence, Set
from functools import cache
from math import log, sqrt
from statistics import NormalDist

import numpy as np

from catalog.nutrition.spread import Spread
from catalog.variation import Shape
from optimizer.sureness.causes import Block, Cause, Factor
from optimizer.sureness.forms import Floats
from optimizer.sureness.varying import Parts, Varying, scaled

DRAWS = 10_000
SEED = 1
NOTHING = 1e-12  # of the largest variance

# A figure at quantiles: standard normal deviates, and the same as shares from 0 to 1.


@cache
def _quantiles(draws: int) -> Floats:
    """The middles of as many equal parts of the standard normal distribution, in order."""
    normal = NormalDist()
    half = [normal.inv_cdf((i + 0.5) / draws) for i in range(draws // 2)]
    middle = [0.0] if draws % 2 else []
    return np.array([*half, *middle, *(-value for value in reversed(half))])


def deviations(spread: Spread, normal: Floats, shares: Floats | None = None) -> Floats:
    """How far a figure is from its mean at these standard normal deviates; `shares` are the same as shares from 0 to 1,
    where they are known already."""
    if spread.shape is Shape.NORMAL:
        return spread.sd * normal
    if spread.shape is Shape.LOGNORMAL:
        sigma = sqrt(log(1 + (spread.sd / spread.mean) ** 2))
        return np.exp(log(spread.mean) - sigma**2 / 2 + sigma * normal) - spread.mean
    if shares is None:
        line = _quantiles(max(len(normal), 1000))
        shares = np.interp(normal, line, (np.arange(len(line)) + 0.5) / len(line))
    width, before = spread.high - spread.low, spread.mode - spread.low
    rising = spread.low + np.sqrt(shares * width * before)
    falling = spread.high - np.sqrt((1 - shares) * width * (width - before))
    return np.where(shares * width < before, rising, falling) - spread.mean


def draw(varied: Varying, draws: int = DRAWS) -> Floats:
    """The room in each limit, a row for each draw. All that is normal is drawn as one, by its covariance."""
    return _drawn(varied.mean, varied.blocks, draws, np.random.default_rng(SEED))


def _drawn(mean: Floats, blocks: Sequence[Block], draws: int, random: np.random.Generator) -> Floats:
    groups: dict[tuple[Factor, ...], list[Block]] = {}
    for block in blocks:
        groups.setdefault(block.times, []).append(block)
    wanted = {factor.cause for times in groups for factor in times}
    noted: dict[Cause, Floats] = {}  # how far what multiplies is from its mean
    found = np.tile(mean, (draws, 1))
    for times in sorted(groups, key=len):  # what multiplies is drawn before what it multiplies
        moved = _moved(groups[times], draws, random, wanted, noted)
        for factor in times:
            if factor.cause in noted:
                moved *= (1 + factor.slope * noted[factor.cause])[:, None]
        found += moved
    return found


def _moved(
    blocks: Sequence[Block], draws: int, random: np.random.Generator, wanted: Set[Cause], noted: dict[Cause, Floats]
) -> Floats:
    """What blocks add to the room, a row for each draw; how far the wanted causes among them are is noted."""
    line = _quantiles(draws)
    far: list[Floats] = []
    moves: list[Floats] = []
    normal: list[Floats] = []
    for block in blocks:
        alone = len(block.sources) == 1 and block.sources[0].cause in wanted
        if not alone and all(source.spread.shape is Shape.NORMAL for source in block.sources):
            normal += list(block.lower.T @ np.array([source.spread.sd * source.moves for source in block.sources]))
            continue
        places = [random.permutation(draws) for _ in block.sources]
        if len(places) == 1:
            [source] = block.sources
            far.append(deviations(source.spread, line[places[0]], (places[0] + 0.5) / draws))
            if alone:
                noted[source.cause] = far[-1]
        else:
            free = block.lower @ line[np.array(places)]
            far += [deviations(source.spread, own) for source, own in zip(block.sources, free, strict=True)]
        moves += [source.moves for source in block.sources]
    if normal:
        root = _root(np.array(normal)) if len(normal) > len(normal[0]) else np.array(normal)
        far += [random.permutation(line) for _ in root]
        moves += list(root)
    return np.array(far).T @ np.array(moves)


def draw_items(parts: Parts, draws: int) -> list[Floats]:
    """What each item adds to the room in each limit, as shares of it, a row for each draw; see `draw`."""
    random = np.random.default_rng(SEED)
    return [_drawn(item.room / parts.scale, scaled(item.blocks, parts.scale), draws, random) for item in parts.items]


def _root(moves: Floats) -> Floats:
    """As few independent moves with the same covariance: the rows of its Cholesky factor, but for a hair's breadth that
    keeps it above zero."""
    covariance = moves.T @ moves
    hair = NOTHING * max(float(covariance.diagonal().max()), 1e-300)
    return np.asarray(np.linalg.cholesky(covariance + hair * np.eye(len(covariance))).T)
