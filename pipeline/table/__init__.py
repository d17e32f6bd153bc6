"""Table: sightings and notes come in, rows of the event table go out, validated, and written so that nothing is ever
half there; and read again, for what follows. Refuses to write a row that breaks its schema, and to read what is no run.
"""

from earwitness.pipeline.table.event_rows import RecordingTalk, event_rows
from earwitness.pipeline.table.frame import to_frame
from earwitness.pipeline.table.mention_rows import mention_rows
from earwitness.pipeline.table.read import REMEDY, RunFiles, read_rows, read_run_files
from earwitness.pipeline.table.utterance_rows import utterance_rows
from earwitness.pipeline.table.write import DATABASE, FILES, write_run

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
