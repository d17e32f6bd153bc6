"""The application that the commands hang on, and what happens when one fails."""

from __future__ import annotations

import sys
from importlib.metadata import version
from typing import Annotated

import typer

from earwitness.pipeline.command.checklist import checklist_app
from earwitness.pipeline.command.console import complaints
from earwitness.pipeline.command.demo import demo
from earwitness.pipeline.command.draft import draft_command
from earwitness.pipeline.command.explain import explain_command
from earwitness.pipeline.command.options import INPUT_CANNOT_BE_USED
from earwitness.pipeline.command.publish import publish_command
from earwitness.pipeline.command.review import review_command
from earwitness.pipeline.command.score import score_command
from earwitness.pipeline.command.take_back import take_back_command
from earwitness.schemas import InputError

app = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode="rich",
    pretty_exceptions_enable=False,
    help="Draft records of what was seen, from what scientists say over deep-sea video.\n\n"
    "Start with [bold]earwitness demo[/bold]. Then, on a dive of your own:\n\n"
    "[bold]earwitness draft DIVE.vtt --checklist TAXA.csv --out DIVE_DRAFT[/bold]\n\n"
    "Everything it writes is a machine draft, never a verified identification.",
    epilog="Exit codes: 0 done, 1 a defect of ours, 2 command not understood, 3 an input cannot be used.",
)
app.command("draft")(draft_command)
app.command("explain")(explain_command)
app.command("score")(score_command)
app.command("review")(review_command)
app.command("publish")(publish_command)
app.command("take-back")(take_back_command)
app.command("demo")(demo)
app.add_typer(checklist_app, name="checklist")


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
