"""Table: sightings and notes come in, rows of the event table go out, validated, and written so that nothing is ever
half there; and read again, for what follows. Refuses to write a row that breaks its schema, and to read what is no run.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from earwitness.pipeline.late import late
from earwitness.pipeline.table.frame import to_frame
from earwitness.pipeline.table.read import REMEDY, RunFiles, read_rows, read_run_files
from earwitness.pipeline.table.write import DATABASE, FILES, write_run

if TYPE_CHECKING:
    from earwitness.pipeline.table.events import RecordingTalk, event_rows
    from earwitness.pipeline.table.mentions import mention_rows
    from earwitness.pipeline.table.utterances import utterance_rows

__all__ = [
    "DATABASE",
    "FILES",
    "REMEDY",
    "RecordingTalk",
    "RunFiles",
    "event_rows",
    "mention_rows",
    "read_rows",
    "read_run_files",
    "to_frame",
    "utterance_rows",
    "write_run",
]
# Who reads a finished run does not wait for spaCy, which rows are made of.
__getattr__ = late(
    __name__,
    {"RecordingTalk": "events", "event_rows": "events", "mention_rows": "mentions", "utterance_rows": "utterances"},
)
