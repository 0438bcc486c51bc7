"""The time limit, as every command that searches has it."""

import click

LEAST, MOST = 0.01, 86_400.0


def checked_seconds(_context: click.Context, _option: click.Parameter, value: float) -> float:
    """Seconds from a hundredth to a day, neither nan nor inf. Raises BadParameter."""
    if not LEAST <= value <= MOST:
        raise click.BadParameter(f"{value} is no number of seconds from {LEAST} to {MOST:.0f}")
    return value
