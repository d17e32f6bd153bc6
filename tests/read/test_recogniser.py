"""A recogniser's JSON."""

from __future__ import annotations

import json

import pytest

from earwitness.pipeline.read import Word
from earwitness.schemas.problems import InputError

from .samples import ReadAs, narrations, needs_narrations, rows, severities, texts


def test_segments_with_words(read_as: ReadAs) -> None:
    content = {
        "language": "en",
        "segments": [
            {
                "id": 0,
                "start": 0.5,
                "end": 2.0,
                "text": " A 51-metre crab.",
                "words": [
                    {"word": " A", "start": 0.5, "end": 0.7, "probability": 0.9},
                    {"word": " 51", "start": 0.7, "end": 1.0, "probability": 0.8},
                    {"word": "-metre", "start": 1.0, "end": 1.4, "probability": 0.6},
                    {"word": " crab.", "start": 1.4, "end": 1.4},
                ],
            },
            {"start": "0:03", "end": "4.5", "text": "No words", "speaker": "S2"},
        ],
    }
    transcript = read_as(json.dumps(content), "d.json")
    assert transcript.format == "json"
    assert rows(transcript) == [(0.5, 2.0, None, "A 51-metre crab."), (3.0, 4.5, "S2", "No words")]
    assert transcript.cues[0].words == (
        Word("A", 0.5, 0.7, 0.9),
        Word("51-metre", 0.7, 1.4, 0.6),
        Word("crab.", 1.4, 1.4, None),
    )
    assert [cue.line for cue in transcript.cues] == [0, 0]
    assert transcript.problems == ()


def test_a_plain_list_and_words_without_text(read_as: ReadAs) -> None:
    content = [
        {
            "start": 1,
            "end": 2,
            "words": [
                {"text": "a", "start": 1, "end": 1.5, "score": 0.4},
                {"text": "crab", "start": 1.5, "end": 2},
            ],
        }
    ]
    transcript = read_as(json.dumps(content), "d.json")
    assert texts(transcript) == ["a crab"]
    assert transcript.cues[0].words[0].probability == 0.4


@pytest.mark.parametrize(
    "words",
    [
        "no list",
        [1],
        [{"word": "crab", "start": 2, "end": 1}],
        [{"word": "crab", "start": None, "end": 1}],
        [{"word": "fish", "start": 1, "end": 2}],
        [{"word": "cr", "start": 1.5, "end": 2}, {"word": "ab", "start": 1, "end": 2}],
        [{"word": "crab", "start": 1, "end": float("inf")}],
    ],
)
def test_words_that_cannot_be_used_leave_the_cue(read_as: ReadAs, words: object) -> None:
    transcript = read_as(json.dumps([{"start": 1, "end": 2, "text": "crab", "words": words}]), "d.json")
    assert rows(transcript) == [(1.0, 2.0, None, "crab")]
    assert transcript.cues[0].words == ()
    assert severities(transcript) == [(1, "noted")]


def test_unusable_segments_are_reported_by_number(read_as: ReadAs) -> None:
    content = (
        '[{"start": 1, "end": 2, "text": "ok"}, 3, {"start": true, "end": 2, "text": "a"},'
        ' {"end": 2, "text": "a"}, {"start": NaN, "end": 2, "text": "a"},'
        ' {"start": 1e400, "end": 2, "text": "a"}, {"start": 3, "text": "no end"},'
        ' {"start": 4, "end": 5, "text": null}, {"start": -0.5, "end": 0.5, "text": "early"},'
        ' {"start": 6, "end": Infinity, "text": "endless"}, {"start": -3, "end": -2, "text": "a"}]'
    )
    transcript = read_as(content, "d.json")
    assert [(cue.start, cue.text) for cue in transcript.cues] == [
        (0.0, "early"),
        (1.0, "ok"),
        (3.0, "no end"),
        (6.0, "endless"),
    ]
    assert [line for line, severity in severities(transcript) if severity == "skipped"] == [
        2,
        3,
        4,
        5,
        6,
        8,
        11,
    ]
    assert {line for line, severity in severities(transcript) if severity == "mended"} == {7, 9, 10}
    assert transcript.cues_read == 11


def test_control_characters_and_half_surrogates_go_and_are_noted(read_as: ReadAs) -> None:
    transcript = read_as('[{"start": 1, "end": 2, "text": "a\\u0000 cr\\ud800ab\\u0007\\nhere"}]', "d.json")
    assert texts(transcript) == ["a crab here"]
    assert severities(transcript) == [(1, "noted")]
    assert transcript.problems[0].reason.startswith("3 ")


@pytest.mark.parametrize(
    ("content", "line"),
    [
        ('{"segments": [\n{"start": 1,}\n]}', 2),
        ('{"words": []}', 0),
        ('{"segments": {}}', 0),
        ('"segments"', 0),
        ("[" * 100_000, 0),
        ('[{"start": ' + "1" * 5000 + "}]", 0),
        ("[]", 1),
    ],
)
def test_files_that_hold_no_segments(read_as: ReadAs, content: str, line: int) -> None:
    with pytest.raises(InputError) as caught:
        read_as(content, "d.json")
    assert caught.value.problem.line == line
    assert "segments" in caught.value.problem.expected


@needs_narrations
def test_words_of_the_development_narrations_spell_their_text() -> None:
    from earwitness.pipeline.read import read_transcript

    paths = narrations("*/heard_words.json")
    assert len(paths) == 3
    for path in paths:
        for cue in read_transcript(path).cues:
            assert " ".join(word.text for word in cue.words) == cue.text
