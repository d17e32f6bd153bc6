"""The metadata of a publication: a TOML file comes in, a `Publication` goes out.

Refuses a file that is no TOML, lacks a licence, a rights holder or anything else that schemas/publication.schema.json
asks for: InputError with the file, the key and what was expected.
"""

from __future__ import annotations

import csv
import datetime
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError

from earwitness.schemas import InputError, Problem, load_schema

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
_REMEDY = "a TOML file as schemas/publication.schema.json tells; fixtures/quillmere_canyon/publication.toml is one"


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
    told = _told(Path(path))
    validator = Draft202012Validator(load_schema("publication"))
    # The least deep first: a missing licence is told before a slip in some contact's address.
    errors = sorted(validator.iter_errors(told), key=lambda e: (len(e.absolute_path), str(list(e.absolute_path))))
    if errors:
        raise InputError(_fault(str(path), errors[0]))
    licence = _licence(str(path), "licence", told["licence"])
    own = told.get("media_licence")
    _refuse_overlaps(str(path), told.get("media", []))
    return Publication(
        path=str(path),
        **{key: told[key] for key in _PLAIN if key in told},
        licence=licence,
        media_licence=_licence(str(path), "media_licence", own) if own else licence,
        media_rights_holder=told.get("media_rights_holder", told["rights_holder"]),
        creators=tuple(Agent(**agent) for agent in told["creators"]),
        contacts=tuple(Agent(**agent) for agent in told["contacts"]),
        keywords=tuple(told.get("keywords", ())),
        media=tuple(
            MediaFile(m["recording"], m["address"], float(m.get("from", 0)), m.get("format"), m.get("duration"))
            for m in told.get("media", ())
        ),
    )


def _told(path: Path) -> dict[str, Any]:
    try:
        told = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except OSError as error:
        reason = f"cannot be read ({error.strerror})"
        raise InputError(Problem(str(path), 0, reason, _REMEDY)) from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, RecursionError) as error:
        raise InputError(Problem(str(path), 0, f"is no TOML: {error}", _REMEDY)) from error
    if isinstance(told.get("published"), datetime.date):
        told["published"] = told["published"].isoformat()[:10]
    return told


def _fault(path: str, error: ValidationError) -> Problem:
    """One line about one fault, in the words of the file."""
    where = ".".join(str(part) for part in error.absolute_path)
    if error.validator == "required":
        lacking = next(key for key in error.validator_value if key not in error.instance)
        rule = error.schema.get("properties", {}).get(lacking, {}).get("description", "")
        reason = f"{where + ': ' if where else ''}{lacking} is missing"
        return Problem(path, 0, reason, f'a line {lacking} = "..."{": " + rule if rule else ""}')
    if error.validator == "anyOf":
        return Problem(path, 0, f"{where}: nobody is named", "a surname or an organisation")
    rule = error.schema.get("description") or error.schema.get("pattern") or str(error.validator_value)
    return Problem(path, 0, f"{where or 'the file'}: {error.message[:200]}", rule)


def _licence(path: str, key: str, text: str) -> Licence:
    known = known_licences().get(text.strip().upper())
    if known:
        return known
    if text.startswith(("http://", "https://")):
        same = next((licence for licence in known_licences().values() if licence.address == text), None)
        return same or Licence(text, text)
    expected = f"one of {', '.join(sorted(known_licences()))}, or the address (https://...) of another"
    raise InputError(Problem(path, 0, f"{key} {text!r} is not known", expected))


def _refuse_overlaps(path: str, media: Sequence[Mapping[str, Any]]) -> None:
    begins = [(m["recording"], float(m.get("from", 0))) for m in media]
    for place, (recording, begin) in enumerate(begins):
        if (recording, begin) in begins[:place]:
            reason = f"two files of {recording!r} begin at {begin:g} s"
            raise InputError(Problem(path, 0, reason, "'from', the second of the recording at which each begins"))
