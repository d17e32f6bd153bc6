"""Token times, from a recogniser's word times or spread over a caption."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from spacy.tokens import Doc

from earwitness.pipeline.read.transcript import Cue, Word
from earwitness.pipeline.segment import build_language, segment, speaker_of, times_of
from earwitness.pipeline.segment.timing import WORD_TIME_UNCERTAINTY, spread_over_cue

from .made import timed, transcript

NLP = build_language()


def starts(doc: Doc) -> dict[str, float]:
    times = times_of(doc)
    return {token.text: round(float(times.start[token.i]), 6) for token in doc}


def ends(doc: Doc) -> dict[str, float]:
    times = times_of(doc)
    return {token.text: round(float(times.end[token.i]), 6) for token in doc}


def test_a_caption_without_word_times_is_shared_out_by_length() -> None:
    doc = segment(transcript(Cue(10.0, 20.0, "aa bbbb cc")), NLP)
    assert starts(doc) == {"aa": 10.0, "bbbb": 13.0, "cc": 18.0}
    assert ends(doc) == {"aa": 12.0, "bbbb": 17.0, "cc": 20.0}
    # How far the start may be off: to the farther end of the caption.
    assert times_of(doc).uncertainty.tolist() == pytest.approx([10.0, 7.0, 8.0])


def test_a_captions_own_uncertainty_is_added() -> None:
    doc = segment(transcript(Cue(0.0, 4.0, "aa bb", uncertainty=2.5)), NLP)
    assert times_of(doc).uncertainty.tolist() == pytest.approx([4.0 + 2.5, 2.4 + 2.5])
    doc = segment(transcript(Cue(0.0, 4.0, "aa bb", words=timed("aa bb", 0.5, 2.0), uncertainty=2.5)), NLP)
    assert times_of(doc).uncertainty.tolist() == pytest.approx([WORD_TIME_UNCERTAINTY + 2.5] * 2)


@given(
    st.floats(0, 1e5),
    st.floats(0.001, 60),
    st.lists(st.text("abc", min_size=1, max_size=9), min_size=1, max_size=9),
    st.floats(0, 10),
)
def test_spread_times_are_in_order_inside_the_caption_and_in_proportion(
    start: float, length: float, words: list[str], unsure: float
) -> None:
    cue = Cue(start, start + length, " ".join(words), uncertainty=unsure)
    places = np.cumsum([0, *(len(word) + 1 for word in words[:-1])]).tolist()
    spans = [(place, place + len(word)) for place, word in zip(places, words, strict=True)]
    spread = spread_over_cue(cue, spans)
    assert len(spread) == len(words)
    slack = 1e-6
    for (begin, end, distance), word in zip(spread, words, strict=True):
        assert cue.start - slack <= begin < end <= cue.end + slack
        assert end - begin == pytest.approx(len(word) / len(cue.text) * (cue.end - cue.start), abs=slack)
        assert distance == pytest.approx(max(begin - cue.start, cue.end - begin) + unsure)
    assert all(one[1] <= other[0] + slack for one, other in pairwise(spread))
    # The words and the blanks between them fill the caption.
    filled = sum(end - begin for begin, end, _ in spread)
    blanks = (len(words) - 1) / len(cue.text) * (cue.end - cue.start)
    assert filled + blanks == pytest.approx(cue.end - cue.start, abs=slack)


def test_word_times_are_taken_as_they_are() -> None:
    text = "Is it, um, a crab's claw?"
    doc = segment(transcript(Cue(1.0, 9.0, text, words=timed(text, 1.0, 1.5, 3.0, 4.0, 5.0, 6.5))), NLP)
    assert starts(doc) == {"Is": 1.0, "it": 1.5, ",": 3.0, "um": 3.0, "a": 4.0, "crab": 5.0, "'s": 5.0} | {
        "claw": 6.5,
        "?": 6.5,
    }
    assert ends(doc)["crab"] == 5.3
    assert set(times_of(doc).uncertainty.tolist()) == {WORD_TIME_UNCERTAINTY}


def test_a_token_of_two_timed_pieces_has_the_first_start_and_the_last_end() -> None:
    words = (Word("glass", 1.0, 1.2), Word("spo", 2.0, 2.2), Word("nge", 2.2, 2.9), Word("here", 3.0, 3.5))
    doc = segment(transcript(Cue(1.0, 4.0, "glass sponge here", words=words)), NLP)
    assert (starts(doc)["sponge"], ends(doc)["sponge"]) == (2.0, 2.9)


@pytest.mark.parametrize("stray", ["[inaudible]", "Xylophaga", "♪"])
@pytest.mark.parametrize("place", [0, 1, 2])
def test_a_word_that_the_text_lacks_moves_no_other(stray: str, place: int) -> None:
    words = list(timed("a crab here", 1.0, 2.0, 3.0))
    words.insert(place, Word(stray, place + 0.5, place + 0.9))
    doc = segment(transcript(Cue(0.0, 5.0, "a crab here", words=tuple(words))), NLP)
    assert starts(doc) == {"a": 1.0, "crab": 2.0, "here": 3.0}


def test_text_before_the_first_timed_word_has_that_words_time() -> None:
    doc = segment(transcript(Cue(0.0, 5.0, "- a crab", words=timed("a crab", 1.0, 2.0))), NLP)
    assert starts(doc) == {"-": 1.0, "a": 1.0, "crab": 2.0}


def test_a_word_time_that_ends_before_it_starts_ends_where_it_starts() -> None:
    words = (Word("a", 1.0, 1.0), Word("crab", 2.0, 1.5))
    doc = segment(transcript(Cue(0.0, 5.0, "a crab", words=words)), NLP)
    assert (starts(doc)["crab"], ends(doc)["crab"]) == (2.0, 2.0)


def test_marked_captions_are_left_out() -> None:
    cues = (
        Cue(0, 1, "a crab"),
        Cue(1, 2, "coral coral coral", mark="stutter"),
        Cue(2, 3, "thank you", mark="repeat"),
        Cue(3, 4, "a snail"),
    )
    doc = segment(transcript(*cues), NLP)
    assert doc.text == "a crab a snail"
    assert [cue.text for cue in times_of(doc).cues] == ["a crab", "a snail"]
    assert times_of(doc).cue.tolist() == [0, 0, 1, 1]
    assert starts(doc)["snail"] == pytest.approx(3.0 + 2 / 7, abs=1e-5)


def test_every_token_knows_its_speaker() -> None:
    doc = segment(
        transcript(Cue(0, 1, "a crab", speaker="Aurel"), Cue(1, 2, "where?"), Cue(2, 3, "there", speaker="Bo"))
    )
    assert [speaker_of(doc, token.i) for token in doc] == ["Aurel", "Aurel", None, None, "Bo"]


def test_no_talk_gives_an_empty_doc() -> None:
    for made in (transcript(), transcript(Cue(0, 1, "coral coral coral", mark="stutter"))):
        doc = segment(made, NLP)
        assert len(doc) == 0
        assert len(doc.spans["utterances"]) == 0
        assert times_of(doc).start.shape == (0,)


def test_bare_text_has_no_times_and_no_speaker() -> None:
    doc = NLP("a crab. And a snail")
    times = times_of(doc)
    assert np.isnan(times.start).all()
    assert np.isnan(times.end).all()
    assert np.isnan(times.uncertainty).all()
    assert times.cue.tolist() == [-1] * len(doc)
    assert speaker_of(doc, 0) is None
    assert np.isnan(doc[0]._.start_time)


def test_times_are_read_in_spacys_own_way() -> None:
    doc = segment(transcript(Cue(0.0, 4.0, "a crab", speaker="Aurel", words=timed("a crab", 1.0, 2.0))), NLP)
    assert (doc[1]._.start_time, doc[1]._.end_time) == (2.0, 2.3)
    assert (doc[:]._.start_time, doc[:]._.end_time, doc[:]._.speaker) == (1.0, 2.3, "Aurel")


WORD = st.text(st.characters(codec="utf-8", categories=("L", "N", "P", "S", "M")), min_size=1, max_size=8)


@st.composite
def cues(draw: st.DrawFn) -> list[Cue]:
    made = []
    time = draw(st.floats(0, 1000))
    for _ in range(draw(st.integers(0, 6))):
        time += draw(st.sampled_from([0.0, 0.2, 0.5, 3.0]))
        texts = draw(st.lists(WORD, min_size=1, max_size=6))
        end = time + draw(st.floats(0.01, 30))
        words: tuple[Word, ...] = ()
        if draw(st.booleans()):
            at = np.linspace(time, end, len(texts) + 1).tolist()
            words = tuple(Word(text, a, b) for text, a, b in zip(texts, at, at[1:], strict=False))
        speaker = draw(st.sampled_from([None, "Aurel", "Bo"]))
        mark = draw(st.sampled_from(["", "", "", "stutter", "repeat"]))
        made.append(Cue(time, end, " ".join(texts), speaker=speaker, words=words, mark=mark))
        time = end
    return made


@given(cues())
def test_any_talk_is_covered_timed_in_order_and_cut_into_utterances(made: list[Cue]) -> None:
    doc = segment(transcript(*made), NLP)
    kept = [cue for cue in made if not cue.mark]
    assert doc.text == " ".join(cue.text for cue in kept)
    times = times_of(doc)
    assert times.cue.tolist() == sorted(times.cue.tolist())
    for number, cue in enumerate(kept):
        own = np.flatnonzero(times.cue == number)
        assert "".join(doc[int(i)].text_with_ws for i in own).strip() == cue.text
        assert (np.diff(times.start[own]) >= 0).all()
        assert (times.end[own] >= times.start[own]).all()
        assert (times.start[own] >= cue.start - 1e-6).all()
        assert (times.end[own] <= cue.end + 1e-6).all()
        assert {speaker_of(doc, int(i)) for i in own} == {cue.speaker}
    spans = doc.spans["utterances"]
    assert [i for span in spans for i in range(span.start, span.end)] == list(range(len(doc)))
    assert all(len({speaker_of(doc, token.i) for token in span}) == 1 for span in spans)
    heads = {span.start for span in spans}
    assert heads <= {sentence.start for sentence in doc.sents}
