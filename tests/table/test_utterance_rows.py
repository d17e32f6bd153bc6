"""The whole talk with its times, beside the captions it was read from and the mentions that lie in it."""

from __future__ import annotations

from pathlib import Path

import pytest
import webvtt

from earwitness.pipeline import Run, draft
from tests.conftest import HERE

DIVE = HERE / "fixtures" / "quillmere_canyon"
TALK = """WEBVTT

00:00:01.000 --> 00:00:05.000
<v Ottoline Fenwright>A brisingid, I think; Ottoline Fenwright speaking.

00:00:06.000 --> 00:00:08.000
<v Pilot>Ottoline, it's   a coral.
"""


@pytest.fixture(scope="module")
def run() -> Run:
    return draft(DIVE / "clean.vtt", DIVE / "checklist.csv")


def test_all_words_of_the_captions_are_there_in_order_and_in_time(run: Run) -> None:
    # webvtt-py reads the same captions.
    captions = webvtt.read(str(DIVE / "clean.vtt"))
    told = [word for row in run.utterances for word in row["text"].split()]
    assert told == [word for caption in captions for word in caption.text.split()]
    spans = [(row["startTime"], row["endTime"]) for row in run.utterances]
    assert spans == sorted(spans)
    assert spans[0][0] >= captions[0].start_in_seconds
    assert spans[-1][1] <= captions[-1].end_in_seconds + 1


def test_words_are_cut_from_the_text_and_timed(run: Run) -> None:
    for row in run.utterances:
        assert [row["text"][int(b) : int(e)] for b, e, *_ in row["words"]] == row["text"].split()
        times = [time for *_, start, end in row["words"] for time in (start, end)]
        assert times == sorted(times)
        assert (times[0], times[-1]) == (row["startTime"], row["endTime"])


def test_every_mention_lies_in_its_utterance(run: Run) -> None:
    there = {(row["recordingID"], row["startTime"], row["text"]) for row in run.utterances}
    assert run.mentions
    for mention in run.mentions:
        assert (mention["recordingID"], mention["utteranceStart"], mention["utteranceText"]) in there


def test_pseudonyms_hide_people_in_the_talk_and_words_keep_their_places(tmp_path: Path) -> None:
    (tmp_path / "dive.vtt").write_text(TALK, "utf-8")
    run = draft(tmp_path / "dive.vtt", DIVE / "checklist.csv", pseudonyms=tmp_path / "key.csv")
    told = " ".join(row["text"] for row in run.utterances)
    assert "Fenwright" not in told
    assert "Ottoline" not in told
    assert "Person 1" in told
    assert all("Ottoline" not in (row["speaker"] or "") for row in run.utterances)
    for row in run.utterances:
        words = [row["text"][int(b) : int(e)] for b, e, *_ in row["words"]]
        assert "".join(words).replace(" ", "") == row["text"].replace(" ", "")
