"""A small run written by hand: two invented recordings, real taxa (from memory), words misheard and well heard."""

from __future__ import annotations

import hashlib
import itertools
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from earwitness.pipeline.drafting import CAUTION
from earwitness.pipeline.review import Desk, Outcome, Request, open_desk, open_store
from earwitness.pipeline.review.checklist import open_checklist
from earwitness.pipeline.review.store import run_key
from earwitness.pipeline.table import RunFiles, read_run_files, write_run
from earwitness.taxonomy import NameIndex
from tests import drafted

Row = dict[str, Any]
TAXA = """\
taxonID,acceptedNameUsageID,parentNameUsageID,scientificName,taxonRank,taxonomicStatus,vernacularName
t1,t1,,Animalia,kingdom,accepted,animal
t2,t2,t1,Cnidaria,phylum,accepted,
t3,t3,t2,Coralliidae,family,accepted,
t4,t4,t3,Paragorgia,genus,accepted,bubblegum coral
t5,t5,t4,Paragorgia arborea,species,accepted,bubblegum coral
t6,t5,t4,Alcyonium arboreum,species,synonym,
t7,t7,t2,Primnoidae,family,accepted,
t8,t8,t7,Callogorgia,genus,accepted,
t9,t9,t1,Arthropoda,phylum,accepted,
t10,t10,t9,Munididae,family,accepted,
t11,t11,t10,Munida,genus,accepted,squat lobster
t12,t12,t11,Munida quadrispina,species,accepted,
"""
RANKS = {
    "t4": ("Paragorgia", "genus", "Coralliidae", "Paragorgia"),
    "t5": ("Paragorgia arborea", "species", "Coralliidae", "Paragorgia"),
    "t8": ("Callogorgia", "genus", "Primnoidae", "Callogorgia"),
    "t11": ("Munida", "genus", "Munididae", "Munida"),
    "t12": ("Munida quadrispina", "species", "Munididae", "Munida"),
}
LOST = "it lost"
"""A taxon ID that no checklist has."""

_SAID: tuple[tuple[str, float, str, str, str, str, float], ...] = (
    ("saddle_01", 12.0, "Maud", "there's a big pair of gorgia on the wall", "pair of gorgia", "t4", 0.71),
    ("saddle_01", 31.5, "Maud", "and a squat lobster on it", "squat lobster", "t11", 0.96),
    ("saddle_01", 58.25, "Sefton", "callogorgia over there i think", "callogorgia", "t8", 0.96),
    ("saddle_01", 90.0, "Sefton", "another pair of gorgia", "pair of gorgia", "t4", 0.71),
    ("saddle_02", 7.0, "Maud", "that one is moo need a", "moo need a", "t11", 0.55),
    ("saddle_02", 20.0, "Maud", "pair of gorgia again", "pair of gorgia", "t4", 0.71),
)
"""Recording, start, speaker, what was said, the words taken for a name, the taxon, nameScore."""


def blank(recording: str, kind: str, start: float, **told: Any) -> Row:
    """A drafted row of a kind with what is told and nothing else."""
    checklist = {"checklistName": "taxa", "checklistHash": hashlib.sha256(TAXA.encode()).hexdigest()}
    return drafted.blank(recording, kind, start, **checklist | told)


def occurrence(recording: str, start: float, taxon: str, **told: Any) -> Row:
    """A drafted sighting."""
    return blank(recording, "occurrence", start, **named(taxon) | drafted.SIGHTING | told)


def named(taxon: str) -> Row:
    """Columns of a taxon of TAXA, as a draft has them."""
    name, rank, family, genus = RANKS[taxon]
    return {
        "scientificName": name,
        "taxonID": taxon,
        "acceptedNameUsageID": taxon,
        "taxonRank": rank,
        "kingdom": "Animalia",
        "phylum": "Arthropoda" if family == "Munididae" else "Cnidaria",
        "family": family,
        "genus": genus,
    }


def events() -> list[Row]:
    """Six sightings, a marker, a measurement, a ground."""
    rows = []
    for recording, start, speaker, text, heard, taxon, score in _SAID:
        row = occurrence(recording, start, taxon, nameScore=score, verbatimIdentification=heard)
        row |= {"transcriptText": text, "speaker": speaker, "individualCount": 1}
        if heard == "pair of gorgia":
            other = {"scientificName": "Callogorgia", "taxonID": "t8", "taxonRank": "genus", "nameScore": 0.2}
            row["alternatives"] = [other]
        rows.append(row)
    rows += [
        blank("saddle_01", "marker", 4.0, markerType="on_bottom", transcriptText="on bottom"),
        blank("saddle_01", "measurement", 5.0, measurementType="depth", measurementValue="1200", measurementUnit="m"),
        blank("saddle_02", "substrate", 2.0, habitat="mud", transcriptText="mud here"),
    ]
    return sorted(rows, key=lambda row: (row["recordingID"], row["startTime"]))


def mentions() -> list[Row]:
    """A mention for each sighting."""
    rows = []
    for number, (recording, start, speaker, text, heard, taxon, score) in enumerate(_SAID):
        begin = text.index(heard)
        rows.append(
            {
                "mentionID": f"{recording}:n{number}",
                "recordingID": recording,
                "eventID": f"{recording}:o{round(start * 1000):08d}",
                "startTime": start,
                "endTime": start + 1,
                "timeUncertainty": 0.25,
                "utteranceStart": start - 1,
                "utteranceEnd": start + 3,
                "utteranceText": text,
                "beginsAt": begin,
                "endsAt": begin + len(heard),
                "speaker": speaker,
                "verbatimIdentification": heard,
                "matchedName": named(taxon)["scientificName"],
                "matchedHow": "exact" if score > 0.9 else "similar",
                **{name: named(taxon)[name] for name in ("scientificName", "taxonID", "taxonRank")},
                "nameScore": score,
                "alternatives": [],
                "status": "observed",
                "role": None,
                "certainty": 0.95,
                "certaintyTerm": "certain",
                "certaintyCues": [],
                "cues": [],
            }
        )
    return rows


def utterances() -> list[Row]:
    """What was said, half a second a word."""
    rows = []
    for recording, start, speaker, text, *_ in _SAID:
        words, begin = [], 0
        for number, word in enumerate(text.split()):
            words.append([begin, begin + len(word), start - 1 + number / 2, start - 0.5 + number / 2])
            begin += len(word) + 1
        row = {"recordingID": recording, "startTime": start - 1, "endTime": start + 3, "speaker": speaker}
        rows.append(row | {"text": text, "words": words})
    return rows


def summary(checklist: Path, **told: Any) -> Row:
    """run.json of such a run."""
    transcript = {"path": "talk.vtt", "sha256": "0" * 64, "format": "webvtt", "encoding": "utf-8", "start": None}
    transcript |= {"cuesRead": 6, "cuesSkipped": 0, "cuesMarked": 0}
    sha256 = hashlib.sha256(TAXA.encode()).hexdigest()
    return {
        "software": "earwitness",
        "softwareVersion": "0.1.0",
        "caution": CAUTION,
        "transcripts": [transcript | {"recordingID": name} for name in ("saddle_01", "saddle_02")],
        "recordings": [],
        "checklist": {"path": str(checklist), "sha256": sha256, "name": "taxa", "taxa": 12},
        "settings": {},
        "counts": {},
        "timing": {},
    } | told


def write(folder: Path, rows: Sequence[Row] | None = None, **told: Any) -> Path:
    """The run in a folder, its checklist beside it."""
    folder.mkdir(parents=True, exist_ok=True)
    checklist = folder.parent / "taxa.csv"
    checklist.write_text(TAXA, encoding="utf-8")
    given = events() if rows is None else list(rows)
    known = {row["eventID"] for row in given}
    heard = [row | {"eventID": row["eventID"] if row["eventID"] in known else None} for row in mentions()]
    write_run(folder, given, heard, [], summary(checklist, **told), utterances())
    return folder


PAIR, LOBSTER, CALLOGORGIA, PAIR_2 = (
    "saddle_01:o00012000",
    "saddle_01:o00031500",
    "saddle_01:o00058250",
    "saddle_01:o00090000",
)
MOO, PAIR_3, MARKER = "saddle_02:o00007000", "saddle_02:o00020000", "saddle_01:m00004000"

_numbers = itertools.count(1)


class Hands:
    """One reviewer at a desk: every request bears a fresh uid and names the versions that stand."""

    def __init__(self, desk: Desk, name: str):
        self.desk, self.name = desk, name

    def uid(self) -> str:
        return f"{self.name}-{next(_numbers)}"

    def do(self, action: Any, *events: str, **told: Any) -> Outcome:
        targets = told.pop("targets", None) or {name: self.desk.version(name) for name in events}
        return self.desk.decide(Request(told.pop("uid", None) or self.uid(), action, targets, **told), self.name)

    def undo(self) -> Outcome:
        return self.desk.undo(self.uid(), self.name)

    def redo(self) -> Outcome:
        return self.desk.redo(self.uid(), self.name)


def opened(run: Path, database: str | None = None) -> Desk:
    """A desk on the run, which teaches a file beside the checklist."""
    return open_desk(run, database=database, corrections=run.parent / "taxa.corrections.csv")


class Ground:
    """A run and its checklist's index, read once; desks on it that need nothing but a history, and teach nothing.

    So a process that was forked has no use for the reader of tables, whose threads do not live on in it.
    """

    def __init__(self, folder: Path):
        self.folder = write(folder)
        self.run: RunFiles = read_run_files(self.folder)
        self.index: NameIndex = open_checklist(self.run)

    def desk(self, database: str | Path, run: RunFiles | None = None) -> Desk:
        """A desk whose decisions are kept there."""
        run = run or self.run
        return Desk(run, self.index, open_store(database, run_key(run.recording_ids)))
