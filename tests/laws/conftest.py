"""How many fridges the laws are tried on."""

import pytest


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--fridges", type=int, default=40, help="how many random fridges the laws are tried on (40)")


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    if "number" in metafunc.fixturenames:
        metafunc.parametrize("number", range(metafunc.config.getoption("--fridges", default=40)))
