"""`earwitness checklist`: index a list, look it over, ask it for heard words, teach it what people corrected.

Arguments, standard input and checklists come in; tables for people or JSON go out; corrections are appended to a file.
Refuses names that are not in the list, and input that is no text; lines that cannot be used are told of and answered.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Annotated

import typer
from wordfreq import zipf_frequency

from earwitness.pipeline.command.checklist_views import (
    SUGGESTIONS_LINE,
    answer_table,
    as_long_as_read,
    candidate,
    complain,
    corrections_table,
    health_parts,
    print_json,
    show,
    statement,
)
from earwitness.pipeline.command.console import complaints, results
from earwitness.pipeline.command.options import INPUT_CANNOT_BE_USED, pairs
from earwitness.schemas import InputError, Problem
from earwitness.taxonomy import (
    NameIndex,
    Taxon,
    ask,
    load_checklist,
    open_index,
)
from earwitness.taxonomy.corrections import (
    LONGEST_HEARD,
    corrections_file,
    corrections_path,
    load_corrections,
    record,
    undo,
)
from earwitness.taxonomy.fold import spoken_key
from earwitness.taxonomy.health import COMMON_WORD, inspect

_COMPLAINTS_SHOWN = 5
_EXAMPLES = 3

checklist_app = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode="rich",
    help="Look a checklist over, ask it what heard words may mean, and teach it what people corrected.\n\n"
    "Corrections lie in a CSV file beside the checklist, one statement a row; the next run learns from them.",
)

File = Annotated[Path, typer.Argument(help="Checklist, as for `earwitness draft`.", show_default=False)]
List = Annotated[Path, typer.Option("--checklist", help="Checklist, as for `earwitness draft`.")]
CorrectionsFile = Annotated[
    Path | None,
    typer.Option("--corrections", help="File of corrections; default: CHECKLIST's name.corrections.csv beside it."),
]
OwnColumns = Annotated[
    list[str] | None,
    typer.Option("--column", help="For a checklist with columns of its own: THEIRS=TERM, as for `earwitness draft`."),
]
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON for machines, not tables for people.")]


@checklist_app.command("index")
def index_command(
    file: File,
    column: OwnColumns = None,
    rebuild: Annotated[bool, typer.Option("--rebuild", help="Build it anew even where it is still good.")] = False,
) -> None:
    """Build or refresh the index of a checklist's names, so that the commands that need it start at once.

    earwitness checklist index taxa.csv
    """
    with complaints.status("Indexing"):
        index = _open(file, column, rebuild)
    with as_long_as_read():
        show(f"{len(index.checklist)} taxa, {len(index.entries)} names as they may be said: ready.")


@checklist_app.command("health")
def health_command(
    file: File,
    column: OwnColumns = None,
    as_json: AsJson = False,
    everything: Annotated[bool, typer.Option("--all", help="List every case, not only some examples.")] = False,
) -> None:
    """Tell how well a checklist can be heard: names that sound alike, everyday words, gaps, and what to do about them.

    earwitness checklist health taxa.csv
    """
    with complaints.status("Looking the checklist over"):
        checklist = load_checklist(file, columns=_columns(column))
        learned = load_corrections(corrections_path(file), checklist)
        health = inspect(checklist, [*checklist.problems, *learned.problems])
    with as_long_as_read():
        if as_json:
            print_json(health.to_json())
        else:
            for part in health_parts(health, None if everything else _EXAMPLES):
                show(part)


@checklist_app.command("ask")
def ask_command(
    checklist: List,
    words: Annotated[
        list[str] | None,
        typer.Argument(help="Heard words, in quotation marks; without any, a line each from standard input."),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="One line of JSON for each line of heard words.")] = False,
    limit: Annotated[int, typer.Option(min=1, max=100, help="How many candidates to print at most.")] = 5,
    corrections: CorrectionsFile = None,
    column: OwnColumns = None,
) -> None:
    """Ask what heard words may mean: ranked candidates from the checklist, each answered as it is read.

    earwitness checklist ask --checklist taxa.csv "chasey on a finneys"
    """
    with complaints.status("Opening the checklist"):
        index = _open(checklist, column)
        learned = load_corrections(corrections_file(checklist, corrections), index.checklist)
    complain(learned.problems)
    unusable: list[Problem] = []
    with as_long_as_read():
        if not as_json:
            show(SUGGESTIONS_LINE)
        for heard, problem in _heard_lines(words):
            if problem and len(unusable) < _COMPLAINTS_SHOWN:
                complain([problem])
            if problem and problem.severity == "skipped":
                unusable.append(problem)
            found = [] if problem else ask(index, heard, limit, learned)
            if as_json:
                print_json({"heard": heard, "candidates": [candidate(index, s) for s in found]}, indent=None)
            else:
                show(answer_table(index, learned, heard, found))
    if unusable:
        complaints.print(f"{len(unusable)} lines could not be used.", style="yellow")
        raise typer.Exit(INPUT_CANNOT_BE_USED)


@checklist_app.command("correct")
def correct_command(
    checklist: List,
    heard: Annotated[str, typer.Argument(help="The words as the captions have them.", show_default=False)],
    name: Annotated[
        str | None, typer.Argument(help="What they mean: a name or taxonID of the checklist.", show_default=False)
    ] = None,
    by: Annotated[str, typer.Option(help="Who says so; kept in the file.")] = "",
    note: Annotated[str, typer.Option(help="A remark, kept in the file.")] = "",
    no_name: Annotated[bool, typer.Option("--no-name", help="Say that the words name no taxon at all.")] = False,
    take_back: Annotated[
        bool, typer.Option("--undo", help="Take back what was said of the words: of NAME, or without one all of it.")
    ] = False,
    corrections: CorrectionsFile = None,
    column: OwnColumns = None,
) -> None:
    """Teach what heard words mean, from the next run on; --undo takes it back.

    earwitness checklist correct --checklist taxa.csv "chasey on a finneys" "Chaceon affinis" --by "A. Reader"
    """
    if (no_name and (name or take_back)) or not (name or no_name or take_back):
        raise typer.BadParameter("say one of: NAME, --no-name, --undo [NAME]")
    with complaints.status("Opening the checklist"):
        index = _open(checklist, column)
    taxon = _taxon(index, name) if name else None
    path = corrections or corrections_path(checklist)
    if take_back:
        gone = undo(path, index.checklist, heard, taxon, by=by, note=note)
        told = "took back: " + ", ".join(dict.fromkeys(s.name or "names no taxon" for s in gone))
    else:
        record(path, heard, taxon, by=by, note=note)
        told = f"{taxon.scientific_name} ({taxon.taxon_id})" if taxon else "names no taxon"
        if zipf_frequency(key := spoken_key(heard), "en") >= COMMON_WORD and " " not in key:
            caution = f"“{key}” is an everyday word: it will be taken so wherever it is said."
            complaints.print(complaints.literal(caution), style="yellow", soft_wrap=True)
    with as_long_as_read():
        show(results.literal(f"“{' '.join(heard.split())}” → {told}; written to {path}."))


@checklist_app.command("corrections")
def corrections_command(
    checklist: List,
    as_json: AsJson = False,
    everything: Annotated[bool, typer.Option("--all", help="List what was taken back, too.")] = False,
    corrections: CorrectionsFile = None,
    column: OwnColumns = None,
) -> None:
    """List what people corrected, newest first.

    earwitness checklist corrections --checklist taxa.csv
    """
    learned = load_corrections(
        corrections_file(checklist, corrections), load_checklist(checklist, columns=_columns(column))
    )
    complain(learned.problems)
    listed = [s for s in reversed(learned.statements) if s.stands or everything]
    with as_long_as_read():
        if as_json:
            print_json([statement(s) for s in listed])
        elif listed:
            show(corrections_table(learned.path, listed))
        else:
            show(results.literal(f"No corrections in {learned.path}."))


def _columns(texts: list[str] | None) -> dict[str, str]:
    return pairs("--column", texts or [], "THEIRS=TERM")


def _open(path: Path, column: list[str] | None, rebuild: bool = False) -> NameIndex:
    """The index of a checklist's names, kept between runs; told of where that cannot be."""
    index = open_index(path, columns=_columns(column), rebuild=rebuild)
    complain(index.problems[len(index.checklist.problems) :])
    return index


def _taxon(index: NameIndex, name: str) -> Taxon:
    """The taxon that a name or taxonID of the checklist means.

    Raises:
        InputError: there is none, or there are several.
    """
    checklist = index.checklist
    of_id = checklist.by_id(name.strip())
    if of_id is not None:
        return checklist.taxon(of_id)
    key = spoken_key(name.replace("\n", " "))
    rows = checklist.find(name) or tuple(checklist.accepted(entry.row) for entry in index.exact(key))
    taxa = {checklist.accepted(row): checklist.taxon(row) for row in reversed(rows)}
    if len(taxa) == 1:
        return checklist.taxon(rows[0])
    shown = name if len(name) <= LONGEST_HEARD else f"{name[:LONGEST_HEARD]}…"
    if taxa:
        told = ", ".join(f"{taxon.scientific_name} ({taxon.taxon_id})" for taxon in reversed(taxa.values()))
        raise InputError(Problem(checklist.path, 0, f"{shown!r} is a name of {len(taxa)} taxa", f"one of {told}"))
    near = [] if len(name) > LONGEST_HEARD else [entry.text for entry, _ in index.similar(key, 3)]
    perhaps = f", perhaps {', '.join(dict.fromkeys(near))}" if near else ""
    raise InputError(Problem(checklist.path, 0, f"{shown!r} is not in the checklist", f"a name of it{perhaps}"))


def _heard_lines(words: list[str] | None) -> Iterator[tuple[str, Problem | None]]:
    """Heard words with what is wrong with them: from the arguments, else from standard input as they come."""
    if words:
        lines: Iterator[bytes] = map(os.fsencode, words)
    elif sys.stdin is None:
        raise InputError(Problem("standard input", 0, "is closed", "heard words, a line each, or as arguments"))
    else:
        if sys.stdin.isatty():
            complaints.print("Heard words, a line each; Ctrl-D ends.", style="dim")
        lines = iter(sys.stdin.buffer.readline, b"")
    try:
        for number, raw in enumerate(lines, start=1):
            yield _heard(raw, "argument" if words else "standard input", number)
    except OSError as error:
        raise InputError(Problem("standard input", 0, f"cannot be read: {error.strerror}", "text")) from None


def _heard(raw: bytes, where: str, number: int) -> tuple[str, Problem | None]:
    text = raw.decode("utf-8", "replace").rstrip("\r\n")
    text = text.removeprefix("\ufeff") if number == 1 else text
    if "\0" in text:
        return text, Problem(where, number, "holds zero bytes", "text in UTF-8")
    try:
        raw.decode("utf-8")
    except UnicodeDecodeError:
        return text, Problem(where, number, "is not UTF-8", "text in UTF-8")
    if len(text) > LONGEST_HEARD:
        reason = f"{len(text)} characters are longer than any name; no candidates"
        return text, Problem(where, number, reason, f"up to {LONGEST_HEARD}", "noted")
    return text, None
