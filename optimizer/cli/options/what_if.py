"""The options that ask what if: they change a scenario for one run."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from optimizer.scenario.edit import WhatIf

Command = TypeVar("Command", bound=Callable[..., Any])


_CHANGES = (
    click.option("--without", multiple=True, metavar="ID", help="Leave something out of the scenario; repeatable."),
    click.option("--with", "added", multiple=True, metavar="ID", help="Put a supplement on hand; repeatable."),
    click.option("--set", "amounts", multiple=True, metavar="ID=AMOUNT", help='Fix an amount: "kelp=1/2 tsp".'),
    click.option("--cap", metavar="SHARE", help='Another cap on non-meat, such as "8 %".'),
    click.option("--budget", metavar="MONEY", help="What the batch may cost, in the scenario's currency."),
)
_SURENESS = (
    click.option("--sure", metavar="CHANCE", help='Hold each limit with at least this chance, such as "90%".'),
    click.option("--together", is_flag=True, help="With --sure: hold all limits at once with that chance."),
    click.option("--extra-cost", metavar="MONEY", help='With the aim surest: what it may cost more, or "10%".'),
    click.option("--margin", metavar="SHARE", help='Raise targets and lower ceilings by a share, such as "5%".'),
)


def what_if_options(command: Command) -> Command:
    """The options that change a scenario for one run."""
    for option in reversed((*_CHANGES, *_SURENESS)):
        command = option(command)
    return command


def change_options(command: Command) -> Command:
    """Those options but for how sure a plan is to be."""
    for option in reversed(_CHANGES):
        command = option(command)
    return command


def what_if(changes: dict[str, Any], aim: str | None = None, standard: str | None = None) -> "WhatIf":
    """The changes as a record."""
    from optimizer.scenario.edit import WhatIf

    return WhatIf(
        without=changes["without"],
        added=changes["added"],
        amounts=changes["amounts"],
        cap=changes["cap"],
        budget=changes["budget"],
        sure=changes.get("sure"),
        together=changes.get("together", False),
        margin=changes.get("margin"),
        extra_cost=changes.get("extra_cost"),
        aim=aim,
        standard=standard,
    )
