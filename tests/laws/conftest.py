"""How many fridges the laws are tried on."""

import pytest


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--fridges", type=int, default=40, help="how many random fridges the laws are tried on (40)")


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """`number` is every fridge, `one_in_eight` some of them, for what takes longer than a plan."""
    fridges = metafunc.config.getoption("--fridges", default=40)
    for name, step in (("number", 1), ("one_in_eight", 8)):
        if name in metafunc.fixturenames:
            metafunc.parametrize(name, range(0, fridges, step))
