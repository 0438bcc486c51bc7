"""What the commands share: the catalog with a person's own entries, errors as messages, text as wide as it fits."""

import os
import signal
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from functools import wraps
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn, TypeVar

import click

import optimizer

if TYPE_CHECKING:
    from catalog.records import Catalog

Command = TypeVar("Command", bound=Callable[..., Any])

FAULT = 3  # exit code of a fault of the program itself

as_json = click.option("--json", "as_json", is_flag=True, help="Print JSON and nothing else.")


class LateGroup(click.Group):
    """A group whose commands are loaded when they are called or listed; `late` says where: "module:name"."""

    def __init__(self, *args: Any, late: Mapping[str, str] | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.late = dict(late or {})

    def list_commands(self, ctx: click.Context) -> list[str]:
        """All names, in alphabetical order."""
        return sorted({*super().list_commands(ctx), *self.late})

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command, loaded if need be."""
        if cmd_name in self.late and cmd_name not in self.commands:
            module, _, name = self.late[cmd_name].partition(":")
            self.add_command(getattr(import_module(module), name), cmd_name)
        return super().get_command(ctx, cmd_name)


def answers_for_errors(command: Command) -> Command:
    """Errors become one message on standard error and an exit code, never a traceback."""

    @wraps(command)
    def run(*args: Any, **kwargs: Any) -> Any:
        from catalog.catalog import load_catalog
        from catalog.reading.csv_tables import TableMistakes
        from optimizer.errors import InputErrors, WeighoutError

        try:
            return command(*args, **kwargs)
        except WeighoutError as error:
            _fail(error)
        except TableMistakes:
            _fail(InputErrors(load_catalog()[1]))
        except (click.ClickException, click.Abort, click.exceptions.Exit, OSError):
            raise  # click answers for these, a closed pipe among them
        except Exception as fault:
            if os.environ.get("WEIGHOUT_TRACE"):
                raise
            click.echo(f"weighout: a fault of the program ({type(fault).__name__}: {fault}).", err=True)
            click.echo("Nothing was planned. Set WEIGHOUT_TRACE=1 to see all of it, and report it.", err=True)
            sys.exit(FAULT)

    return run  # type: ignore[return-value]  # wraps keeps the signature


def _fail(error: Exception) -> NoReturn:
    from catalog.bounds import visible

    click.echo(visible(str(error)), err=True)
    sys.exit(getattr(error, "exit_code", 2))


def load_all(scenario: Path | None, without: Path | None = None) -> "Catalog":
    """The shipped catalog with a person's own entries laid over it, but those of one file: those in the data folder,
    then those beside the scenario, or without one in the working folder. Raises InputErrors."""
    from catalog.own.overlay import data_folder

    return optimizer.load_catalog([data_folder(), scenario.parent if scenario else Path()], without=without)


def print_page(render: Callable[..., str], *what: Any, piped_width: int = 100) -> None:
    """Prints what a renderer makes, as wide as the terminal; a pipe gets `piped_width` columns and no colour."""
    from rich.console import Console

    from catalog.bounds import visible

    console = Console()
    width = min(console.width, 120) if console.is_terminal else piped_width
    click.echo(visible(render(*what, width=width, colour=console.is_terminal), console.is_terminal), nl=False)


@contextmanager
def ctrl_c() -> Iterator[Callable[[], bool]]:
    """Gives what tells whether Ctrl-C was pressed: a long question is then ended and what was found printed. Whoever
    presses it twice ends the program."""
    pressed: list[bool] = []

    def heard(*_: object) -> None:
        if pressed:
            raise KeyboardInterrupt
        pressed.append(True)

    before = signal.signal(signal.SIGINT, heard)
    try:
        yield lambda: bool(pressed)
    finally:
        signal.signal(signal.SIGINT, before)
