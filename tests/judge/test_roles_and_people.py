"""Food and hosts keep their role beside the status, and a person's name is no animal."""

from __future__ import annotations

import pytest

from earwitness.pipeline.people import PersonName

from .talk import Listener


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("These feed on brittle stars.", [("general", "prey")]),
        ("Shrimp, mostly, that is what they eat.", [("general", "prey")]),
        ("One has a snail for breakfast.", [("general", "prey")]),
        ("Sea stars eat sponges.", [("general", None), ("general", "prey")]),
        ("It preys on isopods and snails.", [("general", "prey"), ("general", "prey")]),
        ("Siphonophores are on the menu.", [("general", "prey")]),
        ("That sea star is eating a sponge.", [("observed", None), ("observed", "prey")]),
        ("The anemone has caught a shrimp.", [("observed", None), ("observed", "prey")]),
        ("A squat lobster in the black coral.", [("observed", None), ("observed", "host")]),
        ("a brittle star wrapped around the cup coral", [("observed", None), ("observed", "host")]),
        ("There are shrimp living inside that glass sponge.", [("observed", None), ("observed", "host")]),
        ("Possibly a snail on the anemone.", [("hedged", None), ("observed", "host")]),
        ("A sponge with a crab on it.", [("observed", "host"), ("observed", None)]),
        ("Black coral. And a basket star on it.", [("observed", "host"), ("observed", None)]),
        ("Zoom in on the sponge.", [("observed", None)]),
        ("A crab on the left.", [("observed", None)]),
        ("A crab next to the sponge.", [("observed", None), ("observed", None)]),
        ("There is a crab, no sponge.", [("observed", None), ("denied", None)]),
    ],
)
def test_role(hear: Listener, text: str, said: list[tuple[str, str | None]]) -> None:
    _, _, judgements = hear.judged(text)
    assert [(judgement.status, judgement.role) for judgement in judgements] == said


def test_a_person_is_no_animal_and_spends_no_cue(hear: Listener) -> None:
    text = "Maybe Grimpoteuthis knows, that is a crab."
    doc, mentions, judgements = hear.judged(text)
    assert [judgement.status for judgement in judgements] == ["hedged", "observed"]
    person = PersonName(mentions[0].start, mentions[0].end, "Grimpoteuthis")
    _, _, judgements = hear.judged(text, people=(person,))
    assert [judgement.status for judgement in judgements] == ["person", "observed"]
    assert (judgements[0].certainty, judgements[0].term, judgements[0].cues) == (None, None, ("Grimpoteuthis",))
    (cue,) = judgements[0].acting
    assert (cue.category, cue.did) == ("person", "made it a person's name")
    assert doc[cue.start : cue.end].text == "Grimpoteuthis"


def test_a_mention_that_only_touches_a_name_is_a_person(hear: Listener) -> None:
    doc, mentions, _ = hear.judged("Thank you Captain Crab, and a squid.")
    name = next(token.i for token in doc if token.text == "Captain")
    _, _, judgements = hear.judged("Thank you Captain Crab, and a squid.", people=(PersonName(name, name + 2, "Crab"),))
    assert len(mentions) == 2
    assert [judgement.status for judgement in judgements] == ["person", "observed"]
