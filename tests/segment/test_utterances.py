"""Utterances and sentences."""

from __future__ import annotations

import pytest

from earwitness.pipeline.read.transcript import Cue
from earwitness.pipeline.segment import build_language, segment

from .made import sentences, timed, transcript, utterances

NLP = build_language()


def cut(*cues: Cue) -> list[str]:
    return utterances(segment(transcript(*cues), NLP))


def test_captions_of_one_sentence_run_on() -> None:
    cues = (Cue(0, 2, "that is a large"), Cue(2, 4, "glass sponge"), Cue(4.3, 6, "on the wall."))
    assert cut(*cues) == ["that is a large glass sponge on the wall."]


def test_another_speaker_begins_another_utterance() -> None:
    cues = (Cue(0, 2, "that is a large", speaker="Aurel"), Cue(2, 4, "sponge", speaker="Bo"), Cue(4, 5, "yes"))
    assert cut(*cues) == ["that is a large", "sponge", "yes"]


def test_a_pause_between_captions_ends_an_utterance() -> None:
    assert cut(Cue(0, 2, "that is a large"), Cue(2.36, 4, "glass sponge")) == ["that is a large", "glass sponge"]
    assert cut(Cue(0, 2, "that is a large"), Cue(2.34, 4, "glass sponge")) == ["that is a large glass sponge"]


@pytest.mark.parametrize("stop", [".", "!", "?", "…", "..."])
def test_a_stop_at_the_end_of_a_caption_ends_an_utterance(stop: str) -> None:
    assert cut(Cue(0, 2, f"a sponge{stop}"), Cue(2, 4, "and a crab")) == [f"a sponge{stop}", "and a crab"]


@pytest.mark.parametrize("comma", [",", ";", "-", ":"])
def test_a_comma_at_the_end_of_a_caption_ends_nothing(comma: str) -> None:
    assert cut(Cue(0, 2, f"a sponge{comma}"), Cue(2, 4, "and a crab")) == [f"a sponge{comma} and a crab"]


def test_talk_without_stops_is_cut_at_the_caption_that_makes_it_too_long() -> None:
    captions = [Cue(at, at + 4, f"so we keep going {at}") for at in range(0, 40, 4)]
    doc = segment(transcript(*captions), NLP)
    assert [(s._.start_time, s._.end_time) for s in doc.spans["utterances"]] == [(0, 12), (12, 24), (24, 36), (36, 40)]


def test_punctuated_talk_is_not_cut_for_its_length() -> None:
    captions = [Cue(at, at + 4, f"so we keep going {at}") for at in range(0, 40, 4)]
    stopped = [Cue(at, at + 2, "Stop.") for at in range(40, 60, 2)]
    said = utterances(segment(transcript(*captions, *stopped), NLP))
    assert (said[0].count("so we"), said[1:]) == (10, ["Stop."] * 9)


def test_a_single_caption_is_never_cut() -> None:
    assert cut(Cue(0, 100, "so we keep going and going")) == ["so we keep going and going"]


def test_sentences_inside_a_caption() -> None:
    doc = segment(transcript(Cue(0, 9, "A crab. Is it? Yes! Well... perhaps")), NLP)
    assert sentences(doc) == ["A crab.", "Is it?", "Yes!", "Well...", "perhaps"]
    assert utterances(doc) == ["A crab. Is it? Yes! Well... perhaps"]


def test_a_slow_caption_without_word_times_has_no_silence_inside() -> None:
    doc = segment(transcript(Cue(0, 100, "a glass sponge")), NLP)
    assert sentences(doc) == ["a glass sponge"]


def test_a_silence_between_timed_words_ends_a_sentence() -> None:
    text = "a crab a snail"
    doc = segment(transcript(Cue(0, 9, text, words=timed(text, 0.0, 0.4, 1.5, 1.9))), NLP)
    assert sentences(doc) == ["a crab", "a snail"]
    assert utterances(doc) == ["a crab a snail"]
    doc = segment(transcript(Cue(0, 9, text, words=timed(text, 0.0, 0.4, 1.3, 1.7))), NLP)
    assert sentences(doc) == ["a crab a snail"]


@pytest.mark.parametrize(
    "text",
    [
        "that is Leiopathes sp. on the wall",
        "that is Leiopathes spp. on the wall",
        "that is Munida cf. sarsi on the wall",
        "that is cf. Leiopathes on the wall",
        "that is aff. Munida on the wall",
        "that is Munida aff. sarsi on the wall",
        "that is L. pertusa on the wall",
        "that is Leiopathes indet. on the wall",
        "at 2.5 m and 3.4 degrees",
        "MUNIDA CF. SARSI",
    ],
)
def test_the_point_of_a_sign_or_an_initial_ends_no_sentence(text: str) -> None:
    assert sentences(NLP(text)) == [text]


@pytest.mark.parametrize(
    "parts",
    [
        ["That is Leiopathes sp.", "The next one is black"],
        ["That is Leiopathes indet.", "Then mud"],
        ["It is by vent C.", "The water is hot"],
        ["That is a sp.", "Is it?"],
    ],
)
def test_a_sign_may_close_a_sentence(parts: list[str]) -> None:
    assert sentences(NLP(" ".join(parts))) == parts


def test_a_sign_at_the_end_of_a_caption_runs_on_into_small_letters() -> None:
    assert cut(Cue(0, 2, "that is Munida cf."), Cue(2, 4, "sarsi")) == ["that is Munida cf. sarsi"]
    assert cut(Cue(0, 2, "that is Leiopathes sp."), Cue(2, 4, "The next")) == ["that is Leiopathes sp.", "The next"]


def test_text_without_stops_or_capitals_is_one_sentence_an_utterance() -> None:
    doc = segment(transcript(Cue(0, 3, "so that is a crab"), Cue(5, 8, "and that is a snail")), NLP)
    assert sentences(doc) == utterances(doc) == ["so that is a crab", "and that is a snail"]


def test_the_settings_are_the_components_own() -> None:
    nlp = build_language()
    nlp.remove_pipe("earwitness_utterances")
    nlp.add_pipe("earwitness_utterances", config={"joining_gap": 2.0, "sentence_pause": 0.1, "longest": 5.0})
    made = transcript(Cue(0, 2, "a crab"), Cue(3, 4.5, "a snail"), Cue(5, 6, "a sponge"))
    doc = segment(made, nlp)
    assert utterances(doc) == ["a crab a snail", "a sponge"]
    assert sentences(doc)[:2] == ["a crab", "a snail"]
