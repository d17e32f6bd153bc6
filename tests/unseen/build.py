"""Captions and gold tables of the blind dives, written from their scripts.

In: `script.jsonl` of each dive (speaker, text, pause and gold of every utterance; the events in the last line).
Out: `clean.vtt`, `raw.vtt`, `gold_mentions.csv` and `gold_events.csv` beside it. `meta.json` is written by hand.
Refuses a script that breaks a rule of `problems`. Needs nothing of the program under test.

    python -m tests.unseen.build
"""

from __future__ import annotations

import csv
import io
import json
import re
import sys
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
CHECKLIST = HERE.parents[2] / "shared" / "checklists" / "demo_seas.csv"
DIVES = (
    "dunmorrow_seamount_11",
    "pallin_plain_12",
    "veyra_shelf_13",
    "castellune_canyon_14",
    "hjelmvik_sill_15",
    "ossery_basin_16",
    "sallow_rise_17",
    "rosalba_guyot_18",
)

WORDS_A_SECOND = 2.6
BREATH_S = 0.3
RAW_WORDS = 7
RAW_SILENCE_S = 3.0
"""Live captions run on over sentences and speakers; only a long silence ends a cue early."""

KINDS = ("sighting", "marker", "substrate", "measure")
ON_SCREEN = ("observed", "hedged", "asked")
TALK_ONLY = ("compared", "general", "recalled", "elsewhere")
STATUSES = (*ON_SCREEN, "denied", *TALK_ONLY)
CERTAINTIES = ("certain", "probable", "possible", "doubtful")
MARKERS = ("dive_start", "on_bottom", "off_bottom", "dive_end", "sample", "target", "image", "highlight")
MEASURES = ("depth_m", "heading_deg", "range_m", "temperature_c", "laser_cm")
ATTRS = ("size_cm", "sex", "lifeStage", "behavior", "host", "qualifier")
QUALIFIERS = ("cf.", "aff.", "sp.")
COUNT = re.compile(r"~?[1-9]\d*|many")

MENTION_HEAD = ("utterance_no", "start_s", "end_s", "kind", "verbatim", "name", "rank", "event", "status")
EVENT_HEAD = ("event", "start_s", "end_s", "name", "rank", "certainty", "count", "qualifier", "is_occurrence")


@dataclass(frozen=True, slots=True)
class Utterance:
    """One turn: times are milliseconds from the start of the recording."""

    number: int
    start: int
    end: int
    speaker: str
    text: str
    gold: Sequence[Mapping[str, Any]]


@dataclass(frozen=True, slots=True)
class Script:
    """A dive as its script gives it."""

    dive: str
    utterances: Sequence[Utterance]
    events: Sequence[Mapping[str, Any]]


def read_script(folder: Path) -> Script:
    """The script of a dive with the times of the plain rule."""
    rows = [json.loads(line) for line in (folder / "script.jsonl").read_text("utf-8").splitlines()]
    *turns, last = rows
    utterances, clock = [], 0
    for number, turn in enumerate(turns, start=1):
        end = clock + round(1000 * (len(turn["text"].split()) / WORDS_A_SECOND + BREATH_S))
        utterances.append(Utterance(number, clock, end, turn["speaker"], turn["text"], turn["gold"]))
        clock = end + round(1000 * turn["pause_after_s"])
    return Script(folder.name, utterances, last["events"])


def read_names(checklist: Path) -> dict[str, str]:
    """Rank by accepted name."""
    with checklist.open(encoding="utf-8", newline="") as lines:
        rows = csv.DictReader(lines)
        return {row["scientificName"]: row["taxonRank"] for row in rows if row["taxonomicStatus"] == "accepted"}


def files(script: Script) -> dict[str, str]:
    """Text by file name, of all that is generated for a dive."""
    return {
        "clean.vtt": _vtt((turn.start, turn.end, f"<v {turn.speaker}>{turn.text}") for turn in script.utterances),
        "raw.vtt": _vtt(_raw_cues(script), numbered=False),
        "gold_mentions.csv": _csv((*MENTION_HEAD, "certainty", "count"), _mention_rows(script)),
        "gold_events.csv": _csv(EVENT_HEAD, _event_rows(script)),
    }


def raw_words(text: str) -> list[str]:
    """Lower case without punctuation; apostrophes inside words stay, as recognisers write them."""
    return re.findall(r"\w+(?:'\w+)*", text.lower())


def _raw_cues(script: Script) -> Iterator[tuple[int, int, str]]:
    cue: list[tuple[int, int, str]] = []
    for turn in script.utterances:
        for place, written in enumerate(turn.text.split()):
            parts = raw_words(written)
            for part, word in enumerate(parts):
                start, end = (
                    turn.start + round(1000 * (place + at / len(parts)) / WORDS_A_SECOND) for at in (part, part + 1)
                )
                if cue and (len(cue) == RAW_WORDS or start - cue[-1][1] >= 1000 * RAW_SILENCE_S):
                    yield _joined(cue)
                    cue = []
                cue.append((start, end, word))
    if cue:
        yield _joined(cue)


def _joined(cue: Sequence[tuple[int, int, str]]) -> tuple[int, int, str]:
    return cue[0][0], cue[-1][1], " ".join(word for _, _, word in cue)


def _mention_rows(script: Script) -> Iterator[tuple[object, ...]]:
    for turn in script.utterances:
        for gold in turn.gold:
            head = (turn.number, _seconds(turn.start), _seconds(turn.end), gold["kind"], gold["verbatim"])
            if gold["kind"] == "sighting":
                keys = ("name", "rank", "event", "status", "certainty", "count")
                yield *head, *(gold[key] for key in keys)
            elif gold["kind"] == "marker":
                yield *head, gold["marker"], gold.get("rank"), None, None, None, None
            elif gold["kind"] == "substrate":
                yield *head, gold["value"], None, None, None, None, None
            else:
                yield *head, gold["what"], None, None, None, None, gold["value"]


def _event_rows(script: Script) -> Iterator[tuple[object, ...]]:
    for event in script.events:
        turns = [turn for turn in script.utterances if any(g.get("event") == event["event"] for g in turn.gold)]
        span = (_seconds(turns[0].start), _seconds(turns[-1].end))
        keys = ("name", "rank", "certainty", "count", "qualifier")
        yield event["event"], *span, *(event[key] for key in keys), str(event["is_occurrence"]).lower()


def _seconds(milliseconds: int) -> str:
    return f"{milliseconds / 1000:.3f}"


def _clock(milliseconds: int) -> str:
    seconds, rest = divmod(milliseconds, 1000)
    return f"{seconds // 3600:02}:{seconds // 60 % 60:02}:{seconds % 60:02}.{rest:03}"


def _vtt(cues: Iterator[tuple[int, int, str]], *, numbered: bool = True) -> str:
    blocks = ["WEBVTT\n"]
    for number, (start, end, text) in enumerate(cues, start=1):
        head = f"{number}\n" if numbered else ""
        blocks.append(f"{head}{_clock(start)} --> {_clock(end)}\n{text}\n")
    return "\n".join(blocks)


def _csv(head: Sequence[str], rows: Iterator[tuple[object, ...]]) -> str:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(head)
    writer.writerows(rows)
    return text.getvalue()


def problems(script: Script, names: Mapping[str, str] | None = None) -> list[str]:
    """Every breach of the rules of the gold, in words; names are checked where a checklist is given."""
    found = []
    events = {event["event"]: event for event in script.events}
    if len(events) != len(script.events):
        found.append("an event stands twice")
    said: dict[str, list[Mapping[str, Any]]] = {event: [] for event in events}
    for turn in script.utterances:
        place = 0
        for gold in turn.gold:
            where = f"{script.dive} {turn.number} {gold.get('verbatim')!r}"
            at = turn.text.find(gold["verbatim"], place)
            if at < 0 or not gold["verbatim"].strip():
                found.append(f"{where}: words not there, or not in order")
            place = max(place, at + len(gold["verbatim"]))
            found += [f"{where}: {problem}" for problem in _of_mention(gold, events, names)]
            if gold["kind"] == "sighting" and gold["event"] in said:
                said[gold["event"]].append(gold)
    for event in script.events:
        found += [f"{script.dive} {event['event']}: {p}" for p in _of_event(event, said[event["event"]], names)]
    return found


def _of_mention(
    gold: Mapping[str, Any], events: Mapping[str, Mapping[str, Any]], names: Mapping[str, str] | None
) -> Iterator[str]:
    kind = gold["kind"]
    if kind == "marker" and gold["marker"] not in MARKERS:
        yield f"no such marker as {gold['marker']}"
    elif kind == "measure" and (gold["what"] not in MEASURES or not isinstance(gold["value"], (int, float))):
        yield f"no such measure as {gold['what']} {gold['value']!r}"
    elif kind == "substrate" and not gold["value"]:
        yield "substrate of no kind"
    elif kind not in KINDS:
        yield f"no such kind as {kind}"
    if kind != "sighting":
        return
    status, event, certainty = gold["status"], gold["event"], gold["certainty"]
    if status not in STATUSES:
        yield f"no such status as {status}"
    if event is not None and event not in events:
        yield f"no such event as {event}"
    if status in TALK_ONLY and event is not None:
        yield f"{status} is talk only and has no event"
    if status in ON_SCREEN and event is None:
        yield f"{status} but of no event"
    if (certainty is None) != (status in ("general", "compared")) or certainty not in (None, *CERTAINTIES):
        yield f"certainty {certainty} for {status}"
    if (status == "denied") != (certainty == "doubtful") and status != "hedged":
        yield f"certainty {certainty} for {status}"
    if not set(gold["attrs"]) <= set(ATTRS):
        yield f"no such attributes as {', '.join(gold['attrs'])}"
    yield from _of_claim(gold, gold["attrs"].get("qualifier"), names)


def _of_event(
    event: Mapping[str, Any], said: Sequence[Mapping[str, Any]], names: Mapping[str, str] | None
) -> Iterator[str]:
    if event["certainty"] not in CERTAINTIES:
        yield f"no such certainty as {event['certainty']}"
    if event["is_occurrence"] == (event["certainty"] == "doubtful"):
        yield "doubtful and an occurrence, or the other way round"
    if event["name"] not in {gold["name"] for gold in said if gold["status"] != "denied"}:
        yield f"nobody says {event['name']} of it"
    if not event["resolution"]:
        yield "no word on how it was settled"
    yield from _of_claim(event, event["qualifier"], names)


def _of_claim(claim: Mapping[str, Any], qualifier: str | None, names: Mapping[str, str] | None) -> Iterator[str]:
    if names is not None and names.get(claim["name"]) != claim["rank"]:
        yield f"{claim['name']} is not an accepted {claim['rank']} of the checklist"
    if claim["count"] is not None and not COUNT.fullmatch(claim["count"]):
        yield f"no count: {claim['count']}"
    if qualifier not in (None, *QUALIFIERS):
        yield f"no such qualifier as {qualifier}"


def main() -> int:
    """Write the files of every dive whose script is sound; 1 where one is not."""
    names = read_names(CHECKLIST) if CHECKLIST.is_file() else None
    failed = 0
    for dive in DIVES:
        script = read_script(HERE / dive)
        found = problems(script, names)
        for problem in found:
            print(problem, file=sys.stderr)
        failed |= bool(found)
        for name, text in ({} if found else files(script)).items():
            (HERE / dive / name).write_text(text, "utf-8")
    return failed


if __name__ == "__main__":
    sys.exit(main())
