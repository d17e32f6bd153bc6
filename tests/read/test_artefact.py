"""A recogniser's stutter is marked; emphasis is not."""

from __future__ import annotations

import pytest

from earwitness.pipeline.read import Cue, read_transcript
from earwitness.pipeline.read.artefact import mark_artefacts

from .samples import narrations, needs_narrations


def _marks(*lines: str, gap: float = 0.0, speakers: str = "") -> list[str]:
    cues = [
        Cue(n * (1.0 + gap), n * (1.0 + gap) + 1.0, line, speaker=speakers[n] if speakers else None)
        for n, line in enumerate(lines)
    ]
    marked = mark_artefacts(cues)
    assert [cue.text for cue in marked] == list(lines)
    return [cue.mark for cue in marked]


@pytest.mark.parametrize(
    "line",
    [
        "so so so so so so",
        "So, so, so. So so SO!",
        "and then the the the the the the the the",
        "go left, go left, go left, go left, go left",
        "I'm going to go to the I'm going to go to the I'm going to go to the I'm going to go to the",
        "a b c a b c a b c a b c a b c",
    ],
)
def test_stutter(line: str) -> None:
    assert _marks("before", line, "after") == ["", "stutter", ""]


@pytest.mark.parametrize(
    "line",
    [
        "Snails! Snails snails snails.",
        "Snails, snails, snails, snails, snails.",
        "Okay okay okay",
        "Moving. Moving. Moving. Cable.",
        "fish fish",
        "No! No no no no; 'cos 'cos obviously 'cos",
        "go left, go left, go left",
        "crab, crab, white crab, crab",
        "",
    ],
)
def test_emphasis_is_talk(line: str) -> None:
    assert _marks("before", line, "after") == ["", "", ""]


def test_a_stutter_in_a_long_cue_does_not_hide_the_rest() -> None:
    rest = "on the left there is a white crab and behind it a large yellow sponge with two shrimps in it"
    assert _marks(f"no no no no no no {rest}") == [""]


def test_a_line_again_and_again_keeps_its_first() -> None:
    assert _marks("a crab", *["Thank you for watching."] * 4, "a fish") == [
        "",
        "",
        "repeat",
        "repeat",
        "repeat",
        "",
    ]
    assert _marks("Thank you for watching.", "THANK YOU, for watching") == ["", ""]
    assert _marks(*["Okay."] * 4) == [""] * 4
    assert _marks(*["Okay."] * 5) == ["", "repeat", "repeat", "repeat", "repeat"]


def test_a_cycle_of_lines_keeps_its_first_round() -> None:
    assert _marks(*["A crab here.", "And a fish."] * 4) == ["", ""] + ["repeat"] * 6
    assert _marks(*["Left.", "Left?"] * 2, *["Yes.", "No."] * 3) == [""] * 10


def test_repeats_need_one_voice_and_no_long_pause() -> None:
    line = "No fish in view now."
    assert _marks(*[line] * 4, gap=60.0) == [""] * 4
    assert _marks(*[line] * 4, speakers="ABAB") == [""] * 4
    assert _marks(*[line] * 4, speakers="AAAA", gap=20.0) == ["", "repeat", "repeat", "repeat"]


def test_stutter_goes_before_repeat() -> None:
    assert _marks(*["so so so so so so"] * 6) == ["stutter"] * 6


@needs_narrations
def test_no_cue_of_the_development_narrations_is_marked() -> None:
    paths = narrations("*/*.vtt") + narrations("*/heard_words.json")
    assert len(paths) == 9
    marked = [(path.name, cue.text) for path in paths for cue in read_transcript(path).cues if cue.mark]
    assert marked == []
