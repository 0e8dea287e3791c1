"""The ``haulwright`` command: groups of verbs, one way to answer, one way to refuse."""

from __future__ import annotations

import io
import os
import sys
from contextvars import copy_context
from typing import Annotated

import typer

from haulwright.errors import Refusal, UsageRefusal
from haulwright.interfaces.cli import book, campaign, house, kit, publish, pull, resistance, rig, serve, trial
from haulwright.interfaces.cli.output import refuse
from haulwright.version import __version__

app = typer.Typer(
    name="haulwright",
    help="Measure, model, plan and publish winch recovery. Estimates are not ratings; local codes and makers come first.",
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)
app.command("demo")(house.demo)
app.add_typer(rig.app, name="rig")
app.add_typer(trial.app, name="trial")
app.add_typer(campaign.app, name="campaign")
app.command("resistance")(resistance.resistance)
app.add_typer(pull.plan_app, name="plan")
app.add_typer(kit.kit_app, name="kit")
app.add_typer(publish.app, name="publish")
app.add_typer(book.app, name="book")
app.command("check")(house.check)
app.command("serve")(serve.serve)


def _version(wanted: bool) -> None:
    if wanted:
        print(f"haulwright {__version__}")
        raise typer.Exit


@app.callback()
def _root(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    """Measure, model, plan and publish winch recovery."""


def main(arguments: list[str]) -> int:
    """Run the command line and return its exit code: 0 done, 1 the chosen rig is over or unknown, 2 refused."""
    return copy_context().run(_main, arguments)  # the unit that is spoken ends with the run


def _main(arguments: list[str]) -> int:
    as_json = "--json" in arguments
    command = typer.main.get_command(app)
    try:
        code = command.main(args=arguments or ["--help"], prog_name="haulwright", standalone_mode=False)
        return code if isinstance(code, int) else 0
    except Refusal as refusal:
        return refuse(refusal, as_json)
    except typer.TyperException as wrong:
        context = getattr(wrong, "ctx", None)
        hint = f" See '{context.command_path if context else 'haulwright'} --help'."
        words = wrong.format_message()
        return refuse(
            UsageRefusal("USAGE", (words if words.endswith(("?", ".")) else f"{words}.") + hint), as_json
        )
    except (KeyboardInterrupt, typer.Abort):
        print("Stopped; nothing of yours was changed.", file=sys.stderr)
        return 130


def run() -> None:
    """Entry point of the console script."""
    if isinstance(sys.stdout, io.TextIOWrapper):  # a name that is no UTF-8, or a terminal without Unicode
        sys.stdout.reconfigure(errors="backslashreplace")
    try:
        code = main(sys.argv[1:])
        if sys.stdout is not None:
            sys.stdout.flush()
    except OSError as err:
        code = 1
        if not isinstance(
            err, BrokenPipeError
        ):  # where the reader of a pipe went away, nothing is left to say
            code = 2
            print(f"Refused (OUT): the answer cannot be written ({err.strerror}).", file=sys.stderr)
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    sys.exit(code)
