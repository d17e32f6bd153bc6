"""The words of a Doc as a name list knows them."""

from __future__ import annotations

import pytest

from earwitness.pipeline.mention.spoken_words import spoken_words
from earwitness.pipeline.segment import build_language

NLP = build_language()


@pytest.mark.parametrize(
    ("text", "keys"),
    [
        ("don't can't won't I'm it's", "dont cant wont im its"),
        ("don’t can’t won’t I’m it’s", "dont cant wont im its"),
        ("dont cant wont im cannot gonna gotta", "dont cant wont im cannot gonna gotta"),
        ("bird's-nest sponge", "birds nest sponge"),
        ("10cm across at 2.5 m", "10 cm across at 2 5 m"),
        ("Hörnes' ØRSTED straße", "hornes orsted strasse"),
        ("  two  blanks\nand a line ", "two blanks and a line"),
        ("", ""),
        (" \n ", ""),
        ("?!", ""),
    ],
)
def test_words_are_keyed_as_they_are_heard(text: str, keys: str) -> None:
    assert [word.key for word in spoken_words(NLP(text))] == keys.split()


@pytest.mark.parametrize(
    ("text", "parted"),
    [
        ("a sponge", "10"),
        ("a, sponge", "11"),
        ("a-sponge", "10"),
        ("a. Sponge", "11"),
        ("a “sponge”", "11"),
        ("a 海 sponge", "11"),
        ("it. It", "11"),
        ("a\nsponge", "10"),
        ("Munida cf. sarsi", "100"),
    ],
)
def test_what_parts_two_words(text: str, parted: str) -> None:
    assert "".join(str(int(word.parted)) for word in spoken_words(NLP(text))) == parted


def test_a_word_knows_its_tokens_and_its_place() -> None:
    doc = NLP("The crab's claw. Then nothing")
    words = spoken_words(doc)
    assert [doc[w.start : w.end].text for w in words] == ["The", "crab's", "claw", "Then", "nothing"]
    assert [w.bare for w in words] == ["the", "crab", "claw", "then", "nothing"]
    assert [w.opens for w in words] == [True, False, False, True, False]
    assert [w.capital for w in words] == [True, False, False, True, False]
