"""The metadata of a publication: a TOML file comes in, a `Publication` goes out.

Refuses a file that is no TOML, lacks a licence, a rights holder or anything else that schemas/publication.schema.json
asks for: InputError with the file, the line, the key and what was expected.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from pathlib import Path

from earwitness.schemas.toml_file import TomlFile, read_toml

_PLAIN = (
    "title",
    "abstract",
    "published",
    "language",
    "rights_holder",
    "dataset_id",
    "institution_code",
    "citation",
    "region",
    "water_body",
    "methods",
)


@dataclass(frozen=True, slots=True)
class Agent:
    """A person or an organisation."""

    surname: str | None = None
    given_name: str | None = None
    organisation: str | None = None
    position: str | None = None
    email: str | None = None
    address: str | None = None
    orcid: str | None = None

    @property
    def name(self) -> str:
        """As written in a line of text."""
        person = " ".join(part for part in (self.given_name, self.surname) if part)
        return person or self.organisation or ""


@dataclass(frozen=True, slots=True)
class Licence:
    """A licence by title and address."""

    title: str
    address: str


@dataclass(frozen=True, slots=True)
class MediaFile:
    """A file of a recording.

    Args:
        recording: recordingID.
        address: URI or relative reference, without a fragment.
        begin: second of the recording at which the file begins.
        format: MIME type.
        duration: seconds.
    """

    recording: str
    address: str
    begin: float = 0.0
    format: str | None = None
    duration: float | None = None


@dataclass(frozen=True, slots=True)
class Publication:
    """Who publishes, what it is called, and under which licence. `path` is the file it was read from."""

    path: str
    title: str
    abstract: str
    published: str
    language: str
    licence: Licence
    rights_holder: str
    media_licence: Licence
    media_rights_holder: str
    creators: tuple[Agent, ...]
    contacts: tuple[Agent, ...]
    dataset_id: str | None = None
    institution_code: str | None = None
    citation: str | None = None
    keywords: tuple[str, ...] = ()
    region: str | None = None
    water_body: str | None = None
    methods: str | None = None
    media: tuple[MediaFile, ...] = field(default=())

    def files_of(self, recording: str) -> tuple[MediaFile, ...]:
        """The files of a recording, in order."""
        return tuple(sorted((m for m in self.media if m.recording == recording), key=lambda m: m.begin))


@cache
def known_licences() -> Mapping[str, Licence]:
    """Licences by short name, in capitals."""
    text = (files("earwitness.pipeline.publish") / "licences.csv").read_text(encoding="utf-8")
    return {row["name"].upper(): Licence(row["title"], row["address"]) for row in csv.DictReader(text.splitlines())}


def read_publication(path: str | Path) -> Publication:
    """Read and check the metadata of a publication.

    Raises:
        InputError: the file cannot be used.
    """
    file = read_toml(path, "publication")
    told = file.values
    licence = _licence(file, "licence")
    _refuse_overlaps(file)
    return Publication(
        path=str(path),
        **{key: told[key] for key in _PLAIN if key in told},
        licence=licence,
        media_licence=_licence(file, "media_licence") if "media_licence" in told else licence,
        media_rights_holder=told.get("media_rights_holder", told["rights_holder"]),
        creators=tuple(Agent(**agent) for agent in told["creators"]),
        contacts=tuple(Agent(**agent) for agent in told["contacts"]),
        keywords=tuple(told.get("keywords", ())),
        media=tuple(
            MediaFile(m["recording"], m["address"], float(m.get("from", 0)), m.get("format"), m.get("duration"))
            for m in told.get("media", ())
        ),
    )


def _licence(file: TomlFile, key: str) -> Licence:
    text = file.values[key]
    known = known_licences().get(text.strip().upper())
    if known:
        return known
    if not text.startswith(("http://", "https://")):
        expected = f"one of {', '.join(sorted(known_licences()))}, or the address (https://...) of another"
        file.refuse((key,), f"{text!r} is not known", expected)
    same = next((licence for licence in known_licences().values() if licence.address == text), None)
    return same or Licence(text, text)


def _refuse_overlaps(file: TomlFile) -> None:
    begins = [(m["recording"], float(m.get("from", 0))) for m in file.values.get("media", [])]
    for place, (recording, begin) in enumerate(begins):
        if (recording, begin) in begins[:place]:
            reason = f"two files of {recording!r} begin at {begin:g} s"
            file.refuse(("media", place), reason, "'from', the second of the recording at which each begins")
