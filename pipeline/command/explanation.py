"""One event as a page of text: words, marks, cues, candidates, determinations. Marks do not need colour to be seen."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from earwitness.pipeline.command.console import CAUTION_LINE

Row = dict[str, Any]
ATTRIBUTES = (
    ("individualCount", "count"),
    ("organismQuantity", "quantity"),
    ("organismQuantityType", "kind of quantity"),
    ("sizeValue", "size"),
    ("sizeUnit", "unit of size"),
    ("sizeMethod", "size had"),
    ("sex", "sex"),
    ("lifeStage", "life stage"),
    ("behavior", "behaviour"),
    ("vitality", "vitality"),
    ("colour", "colour"),
    ("positionInFrame", "on the picture"),
    ("habitat", "habitat"),
    ("associatedTaxa", "with"),
    ("associatedOccurrences", "events with it"),
    ("markerType", "marker"),
    ("markerRank", "rank of the marker"),
    ("sampleContainer", "container"),
    ("measurementType", "measured"),
    ("measurementValue", "value"),
    ("measurementUnit", "unit"),
)
"""Columns of the event table that say something of the thing itself, and what they are called here."""


def explanation(event: Row, mentions: Sequence[Row], others: Sequence[Row]) -> Group:
    """The page of one event.

    Args:
        event: its row.
        mentions: rows of the mentions it rests on, in order; none for a marker and the like.
        others: rows of what else was named in the same utterances.
    """
    parts: list[RenderableType] = list(_head(event))
    if mentions:
        parts += [_heading("Words", "[n: name]  {cue}"), *_utterances(mentions)]
        parts.append(_heading("What was made of each name"))
        for number, mention in enumerate(mentions, start=1):
            parts += _mention(number, mention)
        if others:
            parts += [_heading("Also named in these utterances"), _others(others)]
    else:
        parts.append(_heading("Words"))
        parts += [_utterance(event["startTime"], event["speaker"], _clean(event["transcriptText"]))]
    if event["determinations"]:
        parts += [_heading("How the name came about"), _in(_chain(event["determinations"]))]
    if event["previousIdentifications"]:
        parts.append(_heading("Names that do not stand"))
        parts += [_in(_clean(name)) for name in event["previousIdentifications"].split(" | ")]
    if stated := [(words, event[column]) for column, words in ATTRIBUTES if event[column] is not None]:
        parts += [_heading("What else was said of it"), _in(_grid((words, str(value)) for words, value in stated))]
    if event["identificationRemarks"]:
        parts += [_heading("Remarks"), _in(_clean(event["identificationRemarks"]))]
    return Group(*parts, Text(), Text(CAUTION_LINE, style="bold"))


def _head(event: Row) -> Iterator[Text]:
    yield _clean(event["eventID"], "bold")
    times = f"{event['startTime']:.3f} to {event['endTime']:.3f} s (within {event['timeUncertainty']:g} s)"
    date = f", {event['eventDate']}" if event["eventDate"] else ""
    yield _clean(f"{event['recordKind']} in {event['recordingID']}, {times}{date}")
    if event["recordKind"] != "occurrence":
        return
    name = _clean(event["scientificName"] or "no name", "italic")
    more = [event["identificationQualifier"], f"({event['taxonRank'] or 'no rank'})", event["vernacularName"]]
    yield name.append_text(_clean("".join(f" {word}" for word in more if word), "not italic"))
    sure = f"The speaker was {_sure(event)}" + (_quoted(event["certaintyCues"], ": ")) + "."
    yield _clean(f"{sure} The words fit the name {_score(event['nameScore'])}.")
    yield _clean(f"Status of the row: {event['reviewStatus']}, {event['identificationVerificationStatus']}.")


def _utterances(mentions: Sequence[Row]) -> Iterator[RenderableType]:
    """Each utterance once, with all of the event's mentions and their cues marked."""
    spoken: dict[tuple[float, str], list[tuple[int, Row]]] = {}
    for number, mention in enumerate(mentions, start=1):
        spoken.setdefault((mention["utteranceStart"], mention["utteranceText"]), []).append((number, mention))
    for (start, text), here in spoken.items():
        yield _utterance(start, here[0][1]["speaker"], _marked(text, here))


def _utterance(start: float, speaker: str | None, text: Text) -> RenderableType:
    head = Text(f"{_clock(start)} ", style="dim")
    return _in(head.append_text(_clean(f"{speaker}: " if speaker else "", "bold")).append_text(text))


def _marked(text: str, here: Sequence[tuple[int, Row]]) -> Text:
    """The utterance with "[n: name]" and "{cue}"; cues of a neighbouring utterance have no place in it."""
    spans = {(m["beginsAt"], m["endsAt"], f"[{number}: ", "]", "bold underline") for number, m in here}
    spans |= {(c["beginsAt"], c["endsAt"], "{", "}", "cyan") for _, m in here for c in m["cues"]}
    inside = sorted(span for span in spans if 0 <= span[0] < span[1] <= len(text))
    marks: dict[int, list[tuple[int, str]]] = {}
    for begin, end, opening, closing, _ in inside:
        # What closes here stands before what opens here, and the inner mark before the outer one.
        marks.setdefault(begin, []).append((len(text) * 2 - end, opening))
        marks.setdefault(end, []).append((-begin, closing))
    shown, cuts = Text(), sorted({0, len(text), *marks})
    for place, cut in enumerate(cuts):
        for _, mark in sorted(marks.get(cut, ())):
            shown.append(mark, style="bold")
        if place + 1 < len(cuts):
            style = next((s for b, e, _, _, s in reversed(inside) if b <= cut < e), "")
            shown.append_text(_clean(text[cut : cuts[place + 1]], style))
    return shown


def _mention(number: int, mention: Row) -> Iterator[RenderableType]:
    role = f", {mention['role']}" if mention["role"] else ""
    sure = f", {_sure(mention)}" if mention["certaintyTerm"] else ""
    words = _clean(f"{number}: “{mention['verbatimIdentification']}”", "bold")
    yield _in(words.append_text(_clean(f" {mention['status']}{role}{sure}", "not bold")))
    if mention["cues"]:
        yield _in(_grid(_cue(mention, cue) for cue in mention["cues"]), 4)
    elif mention["certaintyCues"]:
        yield _in(_clean(f"because of{_quoted(mention['certaintyCues'], ' ')}"), 4)
    else:
        yield _in(Text("no cue acted: taken as it was said"), 4)
    rank = f" ({mention['taxonRank']})" if mention["taxonRank"] else ""
    how = f"{mention['matchedHow']}: “{mention['matchedName']}”"
    names = [(_score(mention["nameScore"]), f"{mention['scientificName']}{rank}, {how}")]
    for other in mention["alternatives"]:
        rank = f" ({other['taxonRank']})" if other["taxonRank"] else ""
        names.append((_score(other["nameScore"]), f"{other['scientificName']}{rank}"))
    yield _in(_grid(names), 4)


def _cue(mention: Row, cue: Row) -> tuple[str, str]:
    """A cue's words, and what it did."""
    where = ""
    if cue["beginsAt"] < 0:
        where = ", said before"
    elif cue["endsAt"] > len(mention["utteranceText"]):
        where = ", said after"
    source = f"; source: {cue['source']}" if cue["source"] else ""
    return f"{{{cue['words']}}}", f"{cue['category']}{where}: {cue['did']}{source}"


def _others(others: Sequence[Row]) -> RenderableType:
    lines = []
    for other in others:
        owner = f"of {other['eventID']}" if other["eventID"] else "of no event"
        lines.append((f"“{other['verbatimIdentification']}”", f"{other['scientificName']}, {other['status']}, {owner}"))
    return _in(_grid(lines))


def _chain(steps: Sequence[Row]) -> Table:
    lines = []
    for number, step in enumerate(steps, start=1):
        who = f"{step['speaker']}, " if step["speaker"] else ""
        said = f"{who}“{step['verbatimIdentification']}”, certainty {step['certainty']:.2f}"
        name = step["scientificName"] or "no name left"
        lines.append((f"{number}. {_clock(step['time'])}", step["step"], f"{name} ({said})"))
    return _grid(lines)


def _grid(rows: Iterable[Sequence[str]]) -> Table:
    """Columns without lines; the last one takes the room that is left and is wrapped."""
    lines = list(rows)
    table = Table.grid(padding=(0, 2, 0, 0))
    for place in range(len(lines[0])):
        table.add_column(overflow="fold", max_width=None if place == len(lines[0]) - 1 else 26)
    for line in lines:
        table.add_row(*map(_clean, line))
    return table


def _heading(words: str, legend: str = "") -> Text:
    heading = Text("\n").append(words, style="bold cyan")
    return heading.append(f"   {legend}", style="dim") if legend else heading


def _in(shown: RenderableType, by: int = 2) -> RenderableType:
    return Padding(shown, (0, 0, 0, by))


def _sure(row: Row) -> str:
    return f"{row['certaintyTerm']} ({row['certainty']:.2f})" if row["certainty"] is not None else "not asked"


def _score(score: float | None) -> str:
    return "–" if score is None else f"{score:.2f}"


def _quoted(words: Sequence[str], before: str) -> str:
    return before + ", ".join(f"“{word}”" for word in words) if words else ""


def _clock(seconds: float) -> str:
    minutes, rest = divmod(int(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02d}:{rest:02d}" if hours else f"{minutes}:{rest:02d}"


def _clean(text: str, style: str = "") -> Text:
    """Words from outside as they are: brackets are no markup here, and control characters are shown, not sent."""
    return Text("".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in text), style=style)
