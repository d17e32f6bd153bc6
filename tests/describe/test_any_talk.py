"""What holds of any talk and any words."""

from __future__ import annotations

import spacy
from hypothesis import example, given, settings
from hypothesis import strategies as st

from earwitness.pipeline.describe.sizes import quantity_at, sizes_in, spacing_in
from earwitness.pipeline.describe.stretch import Stretch
from earwitness.pipeline.words import word_rows
from tests.describe.talk import Listener

nlp = spacy.blank("en")
nlp.add_pipe("sentencizer")
LISTS = ("sizes", "behaviours", "colours", "vitality", "relations", "pointers", "characters", "positions", "habitats")
VOCABULARY = sorted({row["phrase"] for name in LISTS for row in word_rows(name)})
NUMBERS = ["a", "half a", "two", "ten", "ten fifteen", "three or four", "zero", "1,000", "0.0", "9" * 40, "hundred"]
NAMES = ["a crab", "sponge", "the sea pen", "two shrimp", "Grimpoteuthis", "an urchin", "no octopus", "a red squid"]
MARKS = [".", ",", "?", "and", "but", "not", "if", "is it", "what is that", "they usually", ""]
WORDS = st.lists(st.sampled_from(VOCABULARY + 20 * NUMBERS + 20 * NAMES + 20 * MARKS), max_size=30).map(" ".join)


@given(text=st.one_of(st.text(max_size=200), WORDS), spacing=st.floats(0.5, 100))
@example(text="half a", spacing=10.0)
@example(text="of the ten times the", spacing=10.0)
@example(text="one metre twenty twenty centimetres", spacing=10.0)
@settings(max_examples=150)
def test_sizes_of_any_text(text: str, spacing: float) -> None:
    doc = nlp(text)
    for sentence in doc.sents:
        stretch = Stretch(doc, sentence, [], None)
        ends = 0
        for measured in sizes_in(stretch, spacing):
            assert ends <= measured.first < measured.last <= len(stretch.words)
            assert 0 < measured.size.value <= 6000
            assert measured.size.unit in ("mm", "cm", "m")
            assert measured.size.method
            ends = measured.last
        said = spacing_in(stretch)
        assert said is None or 0 < said <= 200


@given(words=st.lists(st.sampled_from(["a", "half", "and", "hundred", "ten", "two", "or", "cm", "lasers", "7"])))
def test_quantities_are_ranges_from_low_to_high(words: list[str]) -> None:
    for at in range(len(words)):
        quantity = quantity_at(words, at)
        if quantity:
            assert quantity.first == at < quantity.last <= len(words)
            assert 0 < quantity.low <= quantity.high


@given(
    talk=st.lists(st.tuples(st.sampled_from("AB"), WORDS, st.sampled_from([0.1, 1.0, 12.0])), min_size=1, max_size=6)
)
@settings(max_examples=40)
def test_descriptions_of_any_talk(hear: Listener, talk: list[tuple[str, str, float]]) -> None:
    heard = hear(*[(who, text or "ah", silence) for who, text, silence in talk])
    assert len(heard.descriptions) == len(heard.sightings)
    for number, description in enumerate(heard.descriptions):
        for relation in description.relations:
            assert relation.other != number
            assert 0 <= relation.other < len(heard.sightings)
            back = [r for r in heard.descriptions[relation.other].relations if r.other == number]
            assert len(back) == 1, "a relation is noted on both, once"
        assert description.vitality in (None, "alive", "dead", "mixedLot", "uncertain")
        if description.size:
            assert description.size.value > 0


@given(text=st.text(max_size=80))
@settings(max_examples=40)
def test_text_that_names_nothing_describes_nothing(hear: Listener, text: str) -> None:
    """Only what is said after a name, or beside it, can be said of an animal."""
    heard = hear("It is red and ten centimetres long, dead, swimming, on the left.", ("A", text or "ah", 40.0))
    for description in heard.descriptions:
        assert "red" not in (description.colour or "")
        assert description.position != "left" or "left" in text
