"""Invented dives for the report: the names of people, ships and places are made up, those of the taxa are not."""

from __future__ import annotations

import math
import random
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from earwitness.pipeline.publish import Edition, Fix, Options
from tests.publish.made import HASH, blank, species

Row = dict[str, Any]
START = datetime(2033, 3, 4, 23, 40, tzinfo=UTC)
TAXA = (
    ("Munida sarsi", "Arthropoda"),
    ("Lophelia pertusa", "Cnidaria"),
    ("Geodia barretti", "Porifera"),
    ("Brisinga", "Echinodermata"),
    ("Chimaera monstrosa", "Chordata"),
    ("Bathynomus", "Arthropoda"),
)
"""Names from memory."""
COUNTS: tuple[Row, ...] = (
    {"individualCount": 1},
    {"individualCount": 4},
    {"organismQuantity": "20", "organismQuantityType": "individuals, approximate"},
    {"organismQuantity": "many", "organismQuantityType": "abundance as spoken"},
    {},
)
TERMS = (("certain", 0.95), ("probable", 0.7), ("possible", 0.4), ("doubtful", 0.15))


def run(*recordings: str) -> Row:
    """A run's summary."""
    told = {"path": "talk.vtt", "sha256": HASH, "format": "webvtt", "encoding": "utf-8", "start": None}
    return {
        "software": "earwitness",
        "softwareVersion": "0.1.0",
        "transcripts": [{**told, "recordingID": name, "cuesRead": 9, "cuesSkipped": 1} for name in recordings],
        "checklist": {"path": "taxa.csv", "sha256": HASH, "name": "taxa", "taxa": 6},
        "settings": {},
    }


def dive(events: int = 60, seed: int = 7, recording: str = "samovar_02", start: datetime | None = START) -> list[Row]:
    """Rows of every kind, shuffled by a seed; without positions."""
    dice = random.Random(seed)
    rows = []
    for n in range(events):
        at = round(5 + n * 11.3, 3)
        told: Row = {"transcriptText": f"words number {n}", "speaker": dice.choice(["Ines", "Bo", None])}
        if start:
            told["eventDate"] = f"{_iso(start, at)}/{_iso(start, at + 2.5)}"
        kind = dice.choices(["occurrence", "marker", "measurement", "substrate"], [8, 2, 1, 1])[0]
        if kind == "occurrence":
            name, phylum = dice.choice(TAXA)
            term, certainty = dice.choice(TERMS)
            told |= species(name, f"t-{name}", phylum=phylum) | dice.choice(COUNTS)
            told |= {"certaintyTerm": term, "certainty": certainty, "nameScore": round(dice.uniform(0.4, 1), 2)}
        elif kind == "marker":
            told["markerType"] = dice.choice(["sample", "image", "highlight", "target", "on_bottom", "off_bottom"])
        elif kind == "measurement":
            told |= {"measurementType": "depth", "measurementValue": str(1500 + n), "measurementUnit": "m"}
        else:
            told["habitat"] = "mud"
        rows.append(blank(recording, kind, at, **told))
    return rows


def placed(rows: list[Row], east: float = -31.2, recording: str = "samovar_02") -> tuple[list[Row], tuple[Fix, ...]]:
    """The rows on a track from `east` eastward, and the track."""
    last = max(row["endTime"] for row in rows)
    fixes = tuple(_fix(recording, last * n / 300, n / 300, east) for n in range(301))
    done = []
    for row in rows:
        fix = fixes[round(row["startTime"] / last * 300)]
        done.append(
            row
            | {
                "decimalLatitude": fix.latitude,
                "decimalLongitude": fix.longitude,
                "coordinateUncertaintyInMeters": 15.0,
                "minimumDepthInMeters": fix.depth,
                "maximumDepthInMeters": (fix.depth or 0) + 2,
                "placeMethod": "interpolated",
            }
        )
    return done, fixes


def _fix(recording: str, time: float, share: float, east: float) -> Fix:
    longitude = (east + 0.01 * share + 180) % 360 - 180
    latitude = 38.5 + 0.003 * math.sin(5 * share)
    return Fix(recording, time, latitude, longitude, 1400 + 120 * share, _iso(START, time))


def edition(rows: list[Row], folder: Path, track: tuple[Fix, ...] = (), **told: Any) -> Edition:
    """An edition of rows."""
    names = list(dict.fromkeys(row["recordingID"] for row in rows)) or ["samovar_02"]
    return Edition(
        tuple(rows), told.pop("run", run(*names)), told.pop("options", Options()), None, track, folder, **told
    )


def _iso(start: datetime, seconds: float) -> str:
    return (start + timedelta(seconds=seconds)).isoformat(timespec="milliseconds").replace("+00:00", "Z")
