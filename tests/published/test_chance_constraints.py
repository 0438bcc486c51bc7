"""Chance constraints against the literature, scipy and another solver.

- The cattle-feed mix of van de Panne and Popp (Management Science 9:405, 1963), protein held with 95 % chance, as printed
  in Bracken and McCormick, Selected Applications of Nonlinear Programming (1968) and as problem 73 in Hock and Schittkowski,
  Test Examples for Nonlinear Programming Codes (1981): optimum 29.894378 at (0.6355216, 0, 0.3127019, 0.05177655). The
  figures are from memory of that collection.
- Quantiles of the normal distribution and the ratio of two normals (Hinkley, Biometrika 56:635, 1969) by scipy.
- Clarabel, an interior-point solver for second-order cones, on relaxed batches.
"""

import clarabel
import numpy as np
import pytest
from scipy import sparse, stats

from catalog.catalog import load_catalog
from catalog.nutrition.spread import Spread, triangular
from catalog.variation import Shape
from optimizer.model.cones import Cone, ConeModel
from optimizer.model.objectives import Objective
from optimizer.model.problem import Column, Draft, Floats, Row
from optimizer.model.solve import choose
from optimizer.model.sure import cones_of
from optimizer.sureness.causes import Block, Cause, Source
from optimizer.sureness.draws import _quantiles, deviations, draw
from optimizer.sureness.varying import Varying
from tests.altered import demo, scenario_of

CATALOG = load_catalog()[0]
COST = (24.55, 26.75, 39.0, 40.5)
FAT = (2.3, 5.6, 11.1, 1.3)
PROTEIN, VARIANCE = (12.0, 11.9, 41.8, 52.1), (0.28, 0.19, 20.5, 0.62)
Z = 1.645


def cattle_feed(z: float) -> tuple[float, Floats]:
    draft = Draft()
    for number, cost in enumerate(COST):
        draft.column(Column(f"feed {number}", "amount"), 0, 1, integer=False, price=cost)
    draft.row(Row("fat", "", "fat"), dict(enumerate(FAT)), lower=5.0)
    draft.row(Row("all", "", "all of it"), dict.fromkeys(range(4), 1.0), lower=1.0, upper=1.0)
    spread = {number: variance**0.5 for number, variance in enumerate(VARIANCE)}
    model = ConeModel(draft.problem(), [Cone("protein", "protein", dict(enumerate(PROTEIN)), spread, z, -21.0)])
    model.close([0])
    solution = model.solve([Objective("cost", np.array([*COST, 0.0, 0.0]))], 10.0)
    return solution.objectives[0], solution.values[:4]


def test_the_cattle_feed_mix_of_1963() -> None:
    cost, mix = cattle_feed(Z)
    assert cost == pytest.approx(29.894378, abs=1e-5)
    assert mix == pytest.approx([0.6355216, 0.0, 0.3127019, 0.05177655], abs=1e-4)


def test_the_cattle_feed_mix_keeps_its_protein_in_95_of_100_draws() -> None:
    _, mix = cattle_feed(Z)
    drawn = np.random.default_rng(2).normal(PROTEIN, np.sqrt(VARIANCE), (200_000, 4)) @ mix
    assert (drawn >= 21.0).mean() == pytest.approx(stats.norm.cdf(Z), abs=0.002)


def test_a_mix_without_a_chance_to_hold_is_cheaper() -> None:
    assert cattle_feed(0.0)[0] < cattle_feed(1.0)[0] < cattle_feed(Z)[0]


def test_quantiles_are_those_of_scipy() -> None:
    line = _quantiles(1001)
    assert line == pytest.approx(stats.norm.ppf((np.arange(1001) + 0.5) / 1001), abs=1e-9)


@pytest.mark.parametrize(
    ("spread", "same"),
    [
        (Spread(Shape.NORMAL, 5.0, 0.7), stats.norm(5.0, 0.7)),
        (Spread(Shape.LOGNORMAL, 5.0, 3.0), stats.lognorm((np.log1p(0.36)) ** 0.5, scale=5.0 / 1.36**0.5)),
        (triangular(2.0, 3.0, 9.0), stats.triang(1 / 7, 2.0, 7.0)),
    ],
)
def test_shapes_are_those_of_scipy(spread: Spread, same: stats.rv_continuous) -> None:
    shares = np.linspace(0.01, 0.99, 99)
    assert (spread.mean, spread.sd) == pytest.approx((same.mean(), same.std()))
    assert spread.mean + deviations(spread, stats.norm.ppf(shares), shares) == pytest.approx(same.ppf(shares), rel=1e-6)


@pytest.mark.parametrize("dependence", [0.0, 0.8])
def test_the_ratio_of_two_normals_by_its_exact_law(dependence: float) -> None:
    """P(a/b >= r) is P(a - r b >= 0) for b above zero: here b is 20 standard deviations above it."""
    mean, sd, ratio = (1.25, 1.0), (0.15, 0.05), 1.1
    factor = np.linalg.cholesky(np.array([[1.0, dependence], [dependence, 1.0]]))
    cause = Cause("figure", "x", "y")
    sources = (
        Source(cause, Spread(Shape.NORMAL, mean[0], sd[0]), np.array([1.0])),
        Source(cause, Spread(Shape.NORMAL, mean[1], sd[1]), np.array([-ratio])),
    )
    varied = Varying((), np.ones(1), np.array([mean[0] - ratio * mean[1]]), (Block(sources, factor),))
    variance = sd[0] ** 2 + (ratio * sd[1]) ** 2 - 2 * dependence * ratio * sd[0] * sd[1]
    exact = stats.norm.cdf((mean[0] - ratio * mean[1]) / variance**0.5)
    assert (draw(varied) >= 0).mean() == pytest.approx(exact, abs=0.005)
    covariance = np.diag(sd) @ np.array([[1, dependence], [dependence, 1]]) @ np.diag(sd)
    a, b = np.random.default_rng(3).multivariate_normal(mean, covariance, 200_000).T
    assert (a / b >= ratio).mean() == pytest.approx(exact, abs=0.005)


@pytest.mark.parametrize("name", ["turkey-week", "kittens-chicken-backs", "lamb-and-fish", "rabbit-few-jars"])
@pytest.mark.parametrize("chance", [0.8, 0.95])
def test_relaxed_batches_by_another_solver(name: str, chance: float) -> None:
    plain = choose(scenario_of(demo(name), CATALOG), CATALOG)
    problem, cones = cones_of(plain, CATALOG, chance)
    relaxed = problem.relaxed()
    model = ConeModel(relaxed, cones)
    ours = model.solve([model.shortfall], 60.0).objectives[0]
    least, cost = by_clarabel(relaxed, cones, None)
    assert ours == pytest.approx(least, rel=1e-5, abs=1e-6)
    model = ConeModel(relaxed, cones)
    weights = np.concatenate([relaxed.worth, np.zeros(2 * len(cones))])
    held = [k for k, cone in enumerate(cones) if cone.id not in cost]
    model.close(held)
    ours = model.solve([Objective("cost", weights)], 60.0).objectives[0]
    again, _ = by_clarabel(relaxed, cones, held)
    assert ours == pytest.approx(again, rel=1e-5, abs=1e-6)


def by_clarabel(problem, cones, held):  # type: ignore[no-untyped-def]
    """The least sum of shortfalls, or with the cones in `held` kept the least cost; and the ids of what falls short.
    Variables: the columns of the problem, then a shortfall for each cone."""
    columns, count = len(problem.columns), len(cones)
    width = columns + count
    rows, right = [], []

    def at_least(row: Floats, bound: float) -> None:  # row @ x >= bound, as Clarabel's  -row @ x + s = -bound, s >= 0
        rows.append(-row)
        right.append(-bound)

    for i in range(len(problem.rows)):
        row = np.concatenate([problem.matrix[i], np.zeros(count)])
        if np.isfinite(problem.row_lower[i]):
            at_least(row, problem.row_lower[i])
        if np.isfinite(problem.row_upper[i]):
            at_least(-row, -problem.row_upper[i])
    for j in range(columns):
        unit = np.eye(1, width, j)[0]
        at_least(unit, problem.lower[j])
        if np.isfinite(problem.upper[j]):
            at_least(-unit, -problem.upper[j])
    for k in range(count):
        at_least(np.eye(1, width, columns + k)[0], 0.0)
        if held is not None and k in held:
            at_least(-np.eye(1, width, columns + k)[0], 0.0)
    kinds = [clarabel.NonnegativeConeT(len(rows))]
    for k, cone in enumerate(cones):
        own = np.zeros(width)
        for j, room in cone.room.items():
            own[j] = room
        own[columns + k] = 1.0
        rows.append(-own / cone.z)
        right.append(cone.constant / cone.z)
        for j, spread in cone.spread.items():
            rows.append(-spread * np.eye(1, width, j)[0])
            right.append(0.0)
        kinds.append(clarabel.SecondOrderConeT(1 + len(cone.spread)))
    weights = np.zeros(width)
    if held is None:
        weights[columns:] = 1.0
    else:
        weights[: len(problem.worth)] = problem.worth
    most = np.where(np.isfinite(problem.upper) & (problem.upper > 0), problem.upper, 1.0)
    size = np.concatenate([most, np.ones(count)])  # each column as a share of its most: even numbers are solved better
    settings = clarabel.DefaultSettings()
    settings.verbose = False
    settings.tol_gap_abs = settings.tol_gap_rel = settings.tol_feas = 1e-8
    solver = clarabel.DefaultSolver(
        sparse.csc_matrix((width, width)),
        weights * size,
        sparse.csc_matrix(np.array(rows) * size),
        np.array(right),
        kinds,
        settings,
    )
    solution = solver.solve()
    assert str(solution.status) in ("Solved", "AlmostSolved")  # the comparison says whether it is near enough
    short = {cones[k].id for k in range(count) if solution.x[columns + k] > 1e-6}
    return float((weights * size) @ np.array(solution.x)), short
