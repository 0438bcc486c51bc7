"""Small linear and mixed-integer programs from the literature, each with its published optimum.

All are minimised; a published maximum stands here with its sign turned.
"""

from dataclasses import dataclass
from math import inf

Matrix = tuple[tuple[float, ...], ...]


@dataclass(frozen=True, slots=True)
class Example:
    """Minimise costs . x subject to row_lower <= rows x <= row_upper and lower <= x <= upper.

    Lengths: `costs`, `lower`, `upper` and `integer` one per variable; `rows` one tuple of coefficients per
    constraint, as many as `row_lower` and `row_upper`. `optimum` is the published least cost, None where the
    program is published as infeasible; `digits` is the number of decimals printed. `solution` is the published
    solution where it is the only one, else empty.
    """

    name: str
    source: str
    costs: tuple[float, ...]
    rows: Matrix
    row_lower: tuple[float, ...]
    row_upper: tuple[float, ...]
    lower: tuple[float, ...]
    upper: tuple[float, ...]
    integer: tuple[bool, ...]
    optimum: float | None
    digits: int
    solution: tuple[float, ...] = ()


# 350 and 600 cases at two canneries, 325, 300 and 275 wanted at three markets, 90 dollars per case and 1000 miles.
TRANSPORT = Example(
    name="transport",
    source="G. B. Dantzig, Linear Programming and Extensions, Princeton University Press, 1963, section 3-3; "
    "as transp.mod of the GNU Linear Programming Kit, whose printed solution is 153.675",
    costs=(0.225, 0.153, 0.162, 0.225, 0.162, 0.126),
    rows=(
        (1, 1, 1, 0, 0, 0),
        (0, 0, 0, 1, 1, 1),
        (1, 0, 0, 1, 0, 0),
        (0, 1, 0, 0, 1, 0),
        (0, 0, 1, 0, 0, 1),
    ),
    row_lower=(-inf, -inf, 325, 300, 275),
    row_upper=(350, 600, inf, inf, inf),
    lower=(0,) * 6,
    upper=(inf,) * 6,
    integer=(False,) * 6,
    optimum=153.675,
    digits=3,
)

PRODUCT_MIX = Example(
    name="product mix",
    source="F. S. Hillier and G. J. Lieberman, Introduction to Operations Research, McGraw-Hill, section 3.1 "
    "(doors and windows from three plants): maximum 36 at (2, 6)",
    costs=(-3, -5),
    rows=((1, 0), (0, 2), (3, 2)),
    row_lower=(-inf, -inf, -inf),
    row_upper=(4, 12, 18),
    lower=(0, 0),
    upper=(inf, inf),
    integer=(False, False),
    optimum=-36,
    digits=0,
    solution=(2, 6),
)

AMPL_BOOK = (
    "R. Fourer, D. M. Gay and B. W. Kernighan, AMPL: A Modeling Language for Mathematical Programming, 2nd ed., "
)
DINNER_PRICES = (3.19, 2.59, 2.29, 2.89, 1.89, 1.99, 1.99, 2.49)
DINNER_VITAMINS: Matrix = (  # A, C, B1, B2 in per cent of a day's need
    (60, 8, 8, 40, 15, 70, 25, 60),
    (20, 0, 10, 40, 35, 30, 50, 20),
    (10, 20, 15, 35, 15, 15, 25, 15),
    (15, 20, 10, 10, 15, 15, 15, 10),
)
DINNER_SODIUM = (938, 2180, 945, 278, 1182, 896, 1329, 1397)
DINNER_CALORIES = (295, 770, 440, 430, 315, 400, 370, 450)


def _varied_dinners(
    name: str,
    source: str,
    sodium: float,
    integer: bool,
    optimum: float | None,
    digits: int,
    solution: tuple[float, ...] = (),
) -> Example:
    """A week of two to ten packages of each dinner, with ceilings on sodium and calories."""
    return Example(
        name=name,
        source=AMPL_BOOK + source,
        costs=DINNER_PRICES,
        rows=(*DINNER_VITAMINS, DINNER_SODIUM, DINNER_CALORIES),
        row_lower=(700, 700, 700, 700, 0, 16000),
        row_upper=(20000, 20000, 20000, 20000, sodium, 24000),
        lower=(2,) * 8,
        upper=(10,) * 8,
        integer=(integer,) * 8,
        optimum=optimum,
        digits=digits,
        solution=solution,
    )


DINNERS = Example(
    name="dinners",
    source=AMPL_BOOK + "2003, section 2.1 and figure 2-2: objective 88.2, 46.6667 packages of one dinner",
    costs=DINNER_PRICES,
    rows=DINNER_VITAMINS,
    row_lower=(700,) * 4,
    row_upper=(10000,) * 4,
    lower=(0,) * 8,
    upper=(100,) * 8,
    integer=(False,) * 8,
    optimum=88.2,
    digits=1,
    solution=(0, 0, 0, 0, 140 / 3, 0, 0, 0),
)
DINNERS_TOO_TIGHT = _varied_dinners(
    "dinners, too tight", "2003, section 2.3 and figure 2-3: infeasible problem", 40000, False, None, 0
)
DINNERS_VARIED = _varied_dinners(
    "dinners, varied",
    "2003, sections 2.3 and 20.1: objective 118.0594032",
    50000,
    False,
    118.0594032,
    7,
    (5.36061, 2, 2, 10, 10, 10, 9.30605, 2),
)
DINNERS_WHOLE = _varied_dinners(
    "dinners, whole packages",
    "2003, section 20.1: optimal integer solution, objective 119.3",
    50000,
    True,
    119.3,
    1,
    (9, 2, 2, 8, 10, 10, 7, 2),
)

# Bread, milk, cheese, potato, fish, yogurt: a floor and a ceiling at once on foods and on nutrients.
PROTEIN_CEILING = Example(
    name="diet with a ceiling on protein",
    source="SAS/OR User's Guide: Mathematical Programming, The Linear Programming Solver, example 1, Diet Problem: "
    "objective 12.081337881",
    costs=(2.0, 3.5, 8.0, 1.5, 11.0, 1.0),
    rows=(
        (90, 120, 106, 97, 130, 180),
        (4.0, 8.0, 7.0, 1.3, 8.0, 9.2),
        (1.0, 5.0, 9.0, 0.1, 7.0, 1.0),
        (15.0, 11.7, 0.4, 22.6, 0.0, 17.0),
    ),
    row_lower=(300, -inf, 8, 10),
    row_upper=(inf, 10, inf, inf),
    lower=(0, 0, 0, 0, 0.5, 0),
    upper=(inf, 1, inf, inf, inf, inf),
    integer=(False,) * 6,
    optimum=12.081337881,
    digits=9,
)

# 2000 units of an alloy from five bins of scrap, aluminium and silicon, within its limits of six elements.
ALLOY = Example(
    name="alloy blend",
    source="GNU Linear Programming Kit, example plan (plan.mps, plan.mod); a remark in the kit's source "
    "gives the optimum 296.217",
    costs=(0.03, 0.08, 0.17, 0.12, 0.15, 0.21, 0.38),
    rows=(
        (1, 1, 1, 1, 1, 1, 1),
        (0.15, 0.04, 0.02, 0.04, 0.02, 0.01, 0.03),  # iron
        (0.03, 0.05, 0.08, 0.02, 0.06, 0.01, 0.0),  # copper
        (0.02, 0.04, 0.01, 0.02, 0.02, 0.0, 0.0),  # manganese
        (0.02, 0.03, 0.0, 0.0, 0.01, 0.0, 0.0),  # magnesium
        (0.70, 0.75, 0.80, 0.75, 0.80, 0.97, 0.0),  # aluminium
        (0.02, 0.06, 0.08, 0.12, 0.02, 0.01, 0.97),  # silicon
    ),
    row_lower=(2000, -inf, -inf, -inf, -inf, 1500, 250),
    row_upper=(2000, 60, 100, 40, 30, inf, 300),
    lower=(0, 0, 400, 100, 0, 0, 0),
    upper=(200, 2500, 800, 700, 1500, inf, inf),
    integer=(False,) * 7,
    optimum=296.217,
    digits=3,
)

KNAPSACK = Example(
    name="knapsack",
    source="J. Burkardt, KNAPSACK_01: Data for the 01 Knapsack Problem, Florida State University, data set P01: "
    "ten objects, capacity 165, best profit 309 with objects 1, 2, 3, 4 and 6",
    costs=(-92, -57, -49, -68, -60, -43, -67, -84, -87, -72),
    rows=((23, 31, 29, 44, 53, 38, 63, 85, 89, 82),),
    row_lower=(-inf,),
    row_upper=(165,),
    lower=(0,) * 10,
    upper=(1,) * 10,
    integer=(True,) * 10,
    optimum=-309,
    digits=0,
    solution=(1, 1, 1, 1, 0, 1, 0, 0, 0, 0),
)

EXAMPLES = (
    TRANSPORT,
    PRODUCT_MIX,
    DINNERS,
    DINNERS_TOO_TIGHT,
    DINNERS_VARIED,
    DINNERS_WHOLE,
    PROTEIN_CEILING,
    ALLOY,
    KNAPSACK,
)
