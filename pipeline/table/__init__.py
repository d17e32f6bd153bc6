"""Table: sightings and notes come in, rows of the event table go out, validated, and written so that nothing is ever
half there. Refuses to write a row that breaks its schema."""

from earwitness.pipeline.table.event_rows import RecordingTalk, event_rows
from earwitness.pipeline.table.frame import to_frame
from earwitness.pipeline.table.mention_rows import mention_rows
from earwitness.pipeline.table.utterance_rows import utterance_rows
from earwitness.pipeline.table.write import FILES, write_run

__all__ = ["FILES", "RecordingTalk", "event_rows", "mention_rows", "to_frame", "utterance_rows", "write_run"]
