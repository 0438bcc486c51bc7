"""The options that ask what if: they change a scenario for one run."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from optimizer.scenario.edit import WhatIf

Command = TypeVar("Command", bound=Callable[..., Any])

AIMS = ("cost", "fewest", "usual")  # optimizer.model.objectives.AIMS, named here so that --help loads no solver

_OPTIONS = (
    click.option("--without", multiple=True, metavar="ID", help="Leave something out of the scenario; repeatable."),
    click.option("--with", "added", multiple=True, metavar="ID", help="Put a supplement on hand; repeatable."),
    click.option("--set", "amounts", multiple=True, metavar="ID=AMOUNT", help='Fix an amount: "kelp=1/2 tsp".'),
    click.option("--cap", metavar="SHARE", help='Another cap on non-meat, such as "8 %".'),
    click.option("--budget", metavar="MONEY", help="What the batch may cost, in the scenario's currency."),
)


def what_if_options(command: Command) -> Command:
    """The options that change a scenario for one run."""
    for option in reversed(_OPTIONS):
        command = option(command)
    return command


def what_if(changes: dict[str, Any], aim: str | None = None, standard: str | None = None) -> "WhatIf":
    """The changes as a record."""
    from optimizer.scenario.edit import WhatIf

    return WhatIf(
        changes["without"], changes["added"], changes["amounts"], changes["cap"], changes["budget"], aim, standard
    )
