"""Publish: a finished run's folder comes in; files that archives, maps, players and spreadsheets take go out.

Every export says that a row is a machine draft until a person has reviewed it. Refuses to write what archives take
without a licence and a rights holder; nothing is ever half written. `take_back` goes the other way: an edited table is
compared with what was exported before it is taken in.
"""

from __future__ import annotations

from earwitness.pipeline.publish.archive import DARWIN_CORE_ARCHIVE
from earwitness.pipeline.publish.audiovisual import AUDIOVISUAL_CORE
from earwitness.pipeline.publish.geojson import GEOJSON
from earwitness.pipeline.publish.geopackage import GEOPACKAGE
from earwitness.pipeline.publish.issue import MANIFEST, Issue, make_edition, publish
from earwitness.pipeline.publish.metadata import Publication, read_publication
from earwitness.pipeline.publish.options import Options, StatusWords
from earwitness.pipeline.publish.publisher import Edition, Fix, Publisher
from earwitness.pipeline.publish.run_folder import RunFolder, read_run
from earwitness.pipeline.publish.spreadsheets import CSV, PARQUET, XLSX
from earwitness.pipeline.publish.statements import CAUTION, DRAFT_STATEMENT, is_reviewed, row_statement
from earwitness.pipeline.publish.vtt import WEBVTT

FORMATS: tuple[Publisher, ...] = (
    DARWIN_CORE_ARCHIVE,
    AUDIOVISUAL_CORE,
    WEBVTT,
    GEOJSON,
    GEOPACKAGE,
    CSV,
    XLSX,
    PARQUET,
)
"""Every way of publishing but those of later stages (the report)."""

__all__ = [
    "CAUTION",
    "DRAFT_STATEMENT",
    "FORMATS",
    "MANIFEST",
    "Edition",
    "Fix",
    "Issue",
    "Options",
    "Publication",
    "Publisher",
    "RunFolder",
    "StatusWords",
    "is_reviewed",
    "make_edition",
    "publish",
    "read_publication",
    "read_run",
    "row_statement",
]
