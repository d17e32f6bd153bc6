"""How many of the taxa spoken on the development narrations have the right name among their candidates.

`python -m tests.bench spoken`. A taxon is spoken where a sighting of the gold mentions has words, as scripted, in which
a name of the checklist stands ("it" and "about twenty" have none). It is found with a name when one of the first five
candidates of any mention within 5 s of its utterance is that name; talk that repeats a name may so be found twice by
one mention.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from rich.console import Console
from rich.table import Table

from earwitness.pipeline.mention import find_mentions
from earwitness.pipeline.read import read_transcript
from earwitness.pipeline.score.gold import read_gold
from earwitness.pipeline.segment import build_language, segment, times_of
from earwitness.taxonomy import Checklist, NameIndex, open_index
from earwitness.taxonomy.fold import spoken_key
from tests.bench.places import SHARED

CAPTIONS = ("clean.vtt", "heard.vtt", "heard_words.json")
NEAR = 5.0
"""Seconds."""
FIRST = 5
LATIN, SPOKEN, EVENTS = "Latin names", "all names", "events"
GROUPS = (LATIN, SPOKEN, EVENTS)


@dataclass(frozen=True)
class Said:
    """A taxon that was spoken.

    Args:
        start, end: seconds.
        meant: accepted row of the gold name.
        rows: accepted rows of what the words as scripted name ("Madrepora": the genus), `meant` included.
        latin: whether the words hold a scientific name, a genus or an epithet.
        words: as scripted.
    """

    start: float
    end: float
    meant: int
    rows: frozenset[int]
    latin: bool
    words: str


@dataclass(frozen=True)
class Offered:
    """A mention found: seconds, and accepted rows of its candidates, best first."""

    start: float
    end: float
    rows: tuple[int, ...]


@dataclass(frozen=True)
class Finding:
    """What was offered for one spoken taxon: the name meant first, or among five; the name said or meant among five;
    the name meant or one above it among five; anything at all."""

    first: bool
    among: bool
    said_among: bool
    above_among: bool
    anything: bool


def main(console: Console) -> None:
    """Print a line a dive and kind of captions, then the Latin names not found."""
    folders = sorted(f for f in (SHARED / "narrations").glob("*") if f.is_dir())
    if not folders:
        console.print("The development narrations do not lie beside the checkout: no spoken taxa counted.")
        return
    index = open_index(SHARED / "checklists" / "demo_seas.csv")
    title = f"Spoken taxa: right name among the first {FIRST} candidates within {NEAR:.0f} s (target 90%)"
    table = Table(title=title)
    columns = ("number", "found, any name", "right first", "right among 5", "said or right", "right or above")
    for column in ("dive", "captions", "of", *columns):
        table.add_column(column, justify="right" if column in columns else "left")
    missed: list[str] = []
    for captions in CAPTIONS:
        whole: dict[str, list[Finding]] = {group: [] for group in GROUPS}
        for folder in folders:
            offers = offered(folder / captions, index)
            for group, said in spoken(folder, index).items():
                findings = [finding(one, offers, index.checklist) for one in said]
                whole[group] += findings
                table.add_row(folder.name, captions, group, *_shares(findings))
                if group == LATIN and captions == "heard.vtt":
                    missed += [one.words for one, of in zip(said, findings, strict=True) if not of.said_among]
        for group in GROUPS:
            table.add_row("all", captions, group, *_shares(whole[group]), end_section=group == EVENTS)
    console.print(table)
    console.print(f"Latin names neither said nor meant among five, heard.vtt: {', '.join(missed) or 'none'}")


def spoken(folder: Path, index: NameIndex) -> dict[str, list[Said]]:
    """The spoken taxa of a dive by group; an event is spoken from its first to its last mention."""
    checklist = index.checklist
    mentions = read_gold(folder / "gold_mentions.csv").mentions or ()
    said = []
    for gold in mentions:
        meant = _row(checklist, gold.name)
        if gold.kind == "sighting" and meant is not None:
            rows, latin = named(gold.verbatim, index)
            if rows:
                said.append(Said(gold.start, gold.end, meant, frozenset({meant, *rows}), latin, gold.verbatim))
    events = [
        Said(gold.start, gold.end, row, frozenset({row}), False, gold.event)
        for gold in read_gold(folder / "gold_events.csv").events or ()
        if gold.is_occurrence and (row := _row(checklist, gold.name)) is not None
    ]
    return {LATIN: [one for one in said if one.latin], SPOKEN: said, EVENTS: events}


def named(words: str, index: NameIndex) -> tuple[set[int], bool]:
    """Accepted rows that words name, the longest names first, and whether any of them is Latin."""
    keys = spoken_key(words).split(" ")
    rows: set[int] = set()
    latin = False
    at = 0
    while at < len(keys):
        length = index.exact_prefixes(keys[at:])
        entries = index.exact(" ".join(keys[at : at + length]))
        epithets = () if length else index.epithets.get(keys[at], ())
        rows.update(index.checklist.accepted(row) for row in (*(entry.row for entry in entries), *epithets))
        latin = latin or bool(epithets) or any(entry.kind == "scientific" for entry in entries)
        at += max(length, 1)
    return rows, latin


def offered(transcript: Path, index: NameIndex) -> list[Offered]:
    """The mentions of a transcript with their times."""
    doc = segment(read_transcript(transcript), build_language())
    times = times_of(doc)
    return [
        Offered(
            float(times.start[mention.start]),
            float(times.end[mention.end - 1]),
            tuple(candidate.row for candidate in mention.candidates[:FIRST]),
        )
        for mention in find_mentions(doc, index)
    ]


def finding(said: Said, offers: Sequence[Offered], checklist: Checklist) -> Finding:
    """What the mentions near a spoken taxon offer for it."""
    near = list(_near(said, offers))
    rows = {row for offer in near for row in offer.rows}
    return Finding(
        any(offer.rows[0] == said.meant for offer in near),
        said.meant in rows,
        bool(rows & said.rows),
        any(checklist.is_same_or_ancestor(row, said.meant) for row in rows),
        bool(near),
    )


def _near(said: Said, offers: Sequence[Offered]) -> Iterator[Offered]:
    return (offer for offer in offers if offer.start <= said.end + NEAR and offer.end >= said.start - NEAR)


def _row(checklist: Checklist, name: str | None) -> int | None:
    """The accepted row of a gold name; None where it has none or the checklist does not know it."""
    rows = checklist.find(name) if name else ()
    return checklist.accepted(rows[0]) if rows else None


def _shares(findings: Sequence[Finding]) -> list[str]:
    """The number of findings, and how many of them have each property."""
    if not findings:
        return ["0", *("–" for _ in range(5))]
    of = [(f.anything, f.first, f.among, f.said_among, f.above_among) for f in findings]
    return [str(len(of)), *(f"{sum(column) / len(of):.1%}" for column in zip(*of, strict=True))]
