"""Each judgement keeps the cues that made it so: where they stand, what they did, and who says so."""

from __future__ import annotations

import pytest

from .talk import Listener


@pytest.mark.parametrize(
    ("text", "acted"),
    [
        ("Maybe a crab.", [("Maybe", "hedge", "lowered certainty to 0.45")]),
        (
            "I think it is probably a crab.",
            [
                ("I think", "hedge", "lowered certainty to 0.7"),
                ("probably", "hedge", "a hedge too, not the weakest"),
            ],
        ),
        ("Definitely a crab.", [("Definitely", "booster", "raised certainty to 0.98")]),
        ("Is that a crab", [("Is that", "question", "made it a question")]),
        ("A crab?", [("?", "question mark", "made it a question")]),
        ("That is not a crab.", [("not a", "negation", "denied it")]),
        ("No crab here.", [("No", "absence", "said there is none")]),
        ("We did not see a crab.", [("did not see a", "absence", "said there is none")]),
        ("It is shaped like a crab.", [("shaped like", "simile", "made it a comparison")]),
        ("They feed on crabs.", [("They feed on", "prey", "made it food")]),
        ("Crabs live for years.", [("live", "habitual", "made it talk of the kind")]),
        ("Yesterday there was that crab.", [("Yesterday", "recalled", "put it at another time")]),
        ("We hope to see a crab.", [("We hope to see", "elsewhere", "put it out of view")]),
        ("Crab cakes tonight.", [("Crab cakes", "figure", "made it a figure of speech")]),
        (
            "It looks like a crab but it isn't.",
            [("looks like", "likeness", "made it a comparison, for what follows contradicts it")],
        ),
    ],
)
def test_what_each_cue_did(hear: Listener, text: str, acted: list[tuple[str, str, str]]) -> None:
    doc, _, (judgement,) = hear.judged(text)
    told = [(cue.words, cue.category, cue.did) for cue in judgement.acting]
    if text.startswith("That is not"):
        assert [did for _, _, did in told] == ["denied it"]
    else:
        assert told == acted
    assert judgement.cues == tuple(cue.words for cue in judgement.acting)
    for cue in judgement.acting:
        assert doc[cue.start : cue.end].text == cue.words
        assert bool(cue.source) == (cue.category != "question mark")


def test_a_plain_statement_has_no_cue(hear: Listener) -> None:
    _, _, (judgement,) = hear.judged("A crab on the rock.")
    assert (judgement.cues, judgement.acting) == ((), ())


def test_an_afterthought_is_kept_with_its_place(hear: Listener) -> None:
    doc, _, (judgement,) = hear.judged("A chimaera. Hard to say.")
    (cue,) = judgement.acting
    assert (doc[cue.start : cue.end].text, cue.did) == ("Hard to say", "lowered certainty to 0.45")
