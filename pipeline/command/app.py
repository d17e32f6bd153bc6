"""The application that the commands hang on, and what happens when one fails."""

from __future__ import annotations

import sys
from importlib import import_module
from importlib.metadata import version
from typing import Annotated, Any

import typer
from typer.core import TyperGroup

from earwitness.pipeline.command.console import complaints
from earwitness.pipeline.command.options import INPUT_CANNOT_BE_USED
from earwitness.schemas import InputError

COMMANDS = {
    "draft": ("draft:draft_command", "Draft the event table of one or more recordings."),
    "explain": ("explain:explain_command", "Tell why a row of the event table says what it says."),
    "score": ("score:score_command", "Measure a run against what a careful reader wrote down."),
    "review": ("review:review_command", "Correct a run's suggestions at the desk, in your browser."),
    "publish": (
        "publish:publish_command",
        "Publish a run: for biodiversity archives, maps, video players, spreadsheets.",
    ),
    "take-back": (
        "take_back:take_back_command",
        "Take back an edited table: list what was changed, added and removed, check it, and take it in.",
    ),
    "demo": (
        "demo:demo",
        "Draft an invented dive that comes with earwitness, from clean and from misheard captions.",
    ),
    "checklist": (
        "checklist:checklist_app",
        "Look a checklist over, ask it what heard words may mean, and teach it what people corrected.",
    ),
}
"""Where each command is, and its first line of help: that is shown without an import of what the command needs."""


class LateCommands(TyperGroup):
    """Commands that are imported when they are called: spaCy, pandas and their like take seconds."""

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        """The command that was called, imported now."""
        if args and args[0] in COMMANDS:
            self.commands[args[0]] = loaded(args[0])
        return super().resolve_command(ctx, args)


def loaded(name: str) -> Any:
    """A command as it is called, with all its options."""
    module, _, attribute = COMMANDS[name][0].partition(":")
    found = getattr(import_module(f"earwitness.pipeline.command.{module}"), attribute)
    if isinstance(found, typer.Typer):
        command: Any = typer.main.get_group(found)
        command.name = name
        return command
    alone = typer.Typer(rich_markup_mode="rich", pretty_exceptions_enable=False, add_completion=False)
    alone.command(name)(found)
    return typer.main.get_command(alone)


app = typer.Typer(
    cls=LateCommands,
    no_args_is_help=True,
    rich_markup_mode="rich",
    pretty_exceptions_enable=False,
    help="Draft records of what was seen, from what scientists say over deep-sea video.\n\n"
    "Start with [bold]earwitness demo[/bold]. Then, on a dive of your own:\n\n"
    "[bold]earwitness draft DIVE.vtt --checklist TAXA.csv --out DIVE_DRAFT[/bold]\n\n"
    "Everything it writes is a machine draft, never a verified identification.",
    epilog="Exit codes: 0 done, 1 a defect of ours, 2 command not understood, 3 an input cannot be used.",
)
for _name, (_, _line) in COMMANDS.items():
    app.command(_name, help=_line)(lambda: None)


def _show_version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"earwitness {version('earwitness')}")
        raise typer.Exit


@app.callback()
def _options(
    _: Annotated[
        bool,
        typer.Option("--version", callback=_show_version, is_eager=True, help="Say the version and stop."),
    ] = False,
) -> None:
    pass


def main() -> None:
    """Run the command line; a fault in an input is one line on standard error and exit code 3."""
    try:
        app()
    except InputError as error:
        complaints.print(f"[bold red]earwitness:[/] {complaints.literal(str(error))}", soft_wrap=True)
        sys.exit(INPUT_CANNOT_BE_USED)
