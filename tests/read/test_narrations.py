"""Every file of the development narrations is read whole."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from earwitness.pipeline.read import read_transcript

from .samples import narrations, needs_narrations

pytestmark = needs_narrations


@pytest.mark.parametrize("path", narrations("*/*.vtt"), ids=lambda path: f"{path.parent.name}-{path.stem}")
def test_captions_have_every_cue_and_every_word(path: Path) -> None:
    transcript = read_transcript(path, strict=True)
    content = path.read_text(encoding="utf-8")
    assert transcript.problems == ()
    assert len(transcript.cues) == transcript.cues_read == content.count(" --> ")
    payloads = [block.split("\n", 1)[1] for block in re.split(r"\n\n(?:\d+\n)?(?=\d\d:)", content)[1:]]
    assert [cue.text for cue in transcript.cues] == [
        re.sub(r"<v [^>]*>", "", payload).strip().replace("&amp;", "&") for payload in payloads
    ]


@pytest.mark.parametrize("folder", narrations("*/script.jsonl"), ids=lambda path: path.parent.name)
def test_speakers_are_those_of_the_script(folder: Path) -> None:
    lines = [json.loads(line) for line in folder.read_text(encoding="utf-8").splitlines()]
    spoken = [(line["speaker"], line["text"]) for line in lines if "speaker" in line]
    transcript = read_transcript(folder.with_name("clean.vtt"))
    assert [(cue.speaker, cue.text) for cue in transcript.cues] == spoken


@pytest.mark.parametrize("path", narrations("*/heard_words.json"), ids=lambda path: path.parent.name)
def test_words_and_captions_of_one_recogniser_agree(path: Path) -> None:
    words, captions = read_transcript(path, strict=True), read_transcript(path.with_name("heard.vtt"))
    assert words.problems == ()
    assert [cue.text for cue in words.cues] == [cue.text for cue in captions.cues]
    assert [(cue.start, cue.end) for cue in words.cues] == [(cue.start, cue.end) for cue in captions.cues]
