"""What is claimed of a name, over sentences of our own invention."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from earwitness.pipeline.judge import STATUSES
from earwitness.pipeline.judge.judgement import TALK_ONLY
from earwitness.pipeline.words.terms import certainty_term

from .talk import Listener, raw

SAID = {
    "observed": [
        "That is a glass sponge.",
        "A brittle star on the left.",
        "Definitely a rattail.",
        "No, it's a basket star.",
        "No, a basket star.",
        "No doubt about it, a squid.",
        "There is that crab again.",
        "There is a crab on the right.",
        "A squid right there.",
    ],
    "hedged": [
        "Probably a glass sponge.",
        "I think that is a basket star.",
        "That might be an octopus.",
        "It looks like a squat lobster.",
        "A chimaera, I believe.",
        "I am not sure that is a crab.",
        "It must be a rattail.",
        "Not really sure, a crab.",
        "That is a squid, isn't it?",
        "It's a squid, right?",
        "A sea urchin, perhaps.",
    ],
    "asked": [
        "Is that a squid?",
        "Could it be a chimaera?",
        "A basket star?",
        "Isn't that a crab?",
        "What is that, a squid?",
        "Would you call this a demosponge?",
    ],
    "denied": [
        "I don't think that is a sponge.",
        "That's not a sponge.",
        "It isn't a crab.",
        "This can't be a shrimp.",
        "I doubt that it is a squid.",
        "It is not really a crab.",
        "Almost certainly not a crab.",
        "No fish in view.",
        "Never a sponge.",
        "I can't see any crabs.",
    ],
    "compared": [
        "It is shaped like a crab.",
        "It moves like an octopus.",
        "About the size of a shrimp.",
        "It could be mistaken, similar to a sea cucumber.",
    ],
    "general": [
        "An octopus often hides by day.",
        "Sea cucumbers generally feed on mud.",
        "The biggest squid in the ocean.",
        "What do crinoids eat?",
    ],
    "recalled": [
        "Yesterday we saw a dumbo octopus.",
        "There was a chimaera on the last dive.",
        "I have seen that anemone years ago.",
    ],
    "elsewhere": [
        "On the next dive we hope to see a squid.",
        "Keep an eye out for isopods.",
        "That squid is not in view.",
        "We are looking for a basket star.",
    ],
}
assert set(SAID) == set(STATUSES) - {"person", "figure"}
CASES = [(status, text) for status, texts in SAID.items() for text in texts]
# What only a question mark tells has to keep it.
BARE = [
    (status, raw(text))
    for status, text in CASES
    if text not in ("A basket star?", "No, a basket star.", "It's a squid, right?")
]


@pytest.mark.parametrize(("status", "text"), CASES)
def test_status(hear: Listener, status: str, text: str) -> None:
    assert hear(text).statuses == [status]


@pytest.mark.parametrize(("status", "text"), BARE)
def test_status_without_punctuation_and_capitals(hear: Listener, status: str, text: str) -> None:
    assert hear(text).statuses == [status]


@pytest.mark.parametrize(
    ("status", "text"),
    [
        ("denied", "i dont think that is a sponge"),
        ("denied", "thats not a sponge"),
        ("denied", "it isnt a crab"),
        ("observed", "no its a basket star"),
        ("observed", "no thats a basket star"),
        ("observed", "no no its a crab"),
        ("hedged", "im not sure that is a crab"),
    ],
)
def test_captions_without_apostrophes(hear: Listener, status: str, text: str) -> None:
    assert hear(text).statuses == [status]


@pytest.mark.parametrize(
    ("text", "statuses"),
    [
        # The scope ends at a termination word ...
        ("That is not a crab but a squat lobster.", ["denied", "observed"]),
        ("that is not a crab but a squat lobster", ["denied", "observed"]),
        ("Possibly a sponge, however that is a squid.", ["hedged", "observed"]),
        ("We hope to see a squid, but here is a crab.", ["elsewhere", "observed"]),
        # ... at a comma before a new subject ...
        ("It is not a sponge, that is a sea cucumber.", ["denied", "observed"]),
        ("Maybe a fish, there is a crab.", ["hedged", "observed"]),
        # ... where a new statement begins after a name, and not before one ...
        ("not a sponge that is a sea cucumber", ["denied", "observed"]),
        ("I don't think that is a sponge", ["denied"]),
        # ... and a denial at the comma behind the name it denies, unless a list goes on.
        ("Not a sponge, a sea cucumber.", ["denied", "observed"]),
        ("No fish here, just a sponge.", ["denied", "observed"]),
        ("Not a crab or a shrimp.", ["denied", "denied"]),
        ("Not a sponge, or a crab.", ["denied", "denied"]),
        # A denial reaches five words ahead.
        ("It is not easy to keep the camera still beside this crab.", ["observed"]),
        ("No sponges, crabs or fish.", ["denied", "denied", "denied"]),
        ("I see neither sponges nor crabs.", ["denied", "denied"]),
        ("It is a crab, not a shrimp.", ["observed", "denied"]),
        ("Rather than a sponge it's a crab.", ["denied", "observed"]),
        # To its left a cue acts on the nearest name.
        ("One sponge, one crab, Cidaris possibly.", ["observed", "observed", "hedged"]),
        ("a crab and a squid perhaps", ["observed", "hedged"]),
        ("a crab maybe and a fish", ["hedged", "observed"]),
        # A copula looks ahead first.
        ("That crab could be a squat lobster.", ["observed", "hedged"]),
        ("A crab, could be.", ["hedged"]),
    ],
)
def test_scope(hear: Listener, text: str, statuses: list[str]) -> None:
    assert hear(text).statuses == statuses


@pytest.mark.parametrize(
    ("text", "statuses"),
    [
        ("Not only a crab, an isopod too.", ["observed", "observed"]),
        ("It is not just a sponge, it is a glass sponge.", ["observed", "observed"]),
        ("Not sure, a crab.", ["hedged"]),
        ("no doubt a crab", ["observed"]),
        ("No rush, there is a crab.", ["observed"]),
        ("The crab is not moving, just a sponge.", ["observed", "observed"]),
        ("I would like to see that crab, a fine crab.", ["observed", "observed"]),
    ],
)
def test_what_only_looks_like_a_cue(hear: Listener, text: str, statuses: list[str]) -> None:
    assert hear(text).statuses == statuses


@pytest.mark.parametrize(
    "text",
    [
        "What kind of squid is that?",
        "what is that squid doing",
        "Where is the crab?",
        "Which sponge is it?",
        "how many crabs are there",
        "I am not sure where the crab went.",
        "Who has a name for this sponge?",
    ],
)
def test_wh_questions_take_the_name_as_known(hear: Listener, text: str) -> None:
    assert hear(text).statuses == ["observed"]


@pytest.mark.parametrize(
    ("text", "status", "certainty"),
    [
        ("A crab. Perhaps.", "hedged", 0.45),
        ("A crab. Not confirmed.", "hedged", 0.45),
        ("A crab. Hard to say.", "hedged", 0.45),
        ("A crab. Probably.", "hedged", 0.75),
        ("A squid? Maybe.", "hedged", 0.4),
        ("Possibly a crab. I think.", "hedged", 0.385),
        ("Not a crab. Perhaps.", "denied", 0.05),
        ("Shaped like a crab. Perhaps.", "compared", None),
        ("A crab. I am not sure about the current in this place.", "observed", 0.95),
    ],
)
def test_afterthoughts_lower_and_never_raise(hear: Listener, text: str, status: str, certainty: float | None) -> None:
    (judgement,) = hear(text).judgements
    assert (judgement.status, judgement.certainty) == (status, certainty)


def test_an_afterthought_of_another_utterance_changes_nothing(hear: Listener) -> None:
    assert hear("A crab.", ("B", "Perhaps.")).statuses == ["observed"]


@pytest.mark.parametrize(
    ("text", "absent"),
    [
        ("No fish in view.", True),
        ("Not a single crab.", True),
        ("No sign of the squid.", True),
        ("Without a sponge.", True),
        ("That is not a fish.", False),
        ("no chance, never a crab", False),
        ("I don't think that is a crab.", False),
    ],
)
def test_absence_is_told_from_another_identity(hear: Listener, text: str, absent: bool) -> None:
    (judgement,) = hear(text).judgements
    assert (judgement.status, judgement.absent) == ("denied", absent)


def test_the_words_that_made_it_so_are_kept(hear: Listener) -> None:
    (judgement,) = hear("Well, I think it is probably a crab.").judgements
    assert judgement.cues == ("I think", "probably")
    assert judgement.certainty == 0.7, "the weakest hedge counts"
    assert hear("A crab?").judgements[0].cues == ("?",)


def test_a_cue_inside_a_name_is_none(hear: Listener) -> None:
    """The words of a mention are no cue to it, and those of another are only a cue to others."""
    (judgement,) = hear("A flytrap anemone.").judgements
    assert (judgement.status, judgement.cues) == ("observed", ())


WORDS = st.sampled_from(
    [
        "a",
        "crab",
        "sponge",
        "squid",
        "not",
        "no",
        "i",
        "think",
        "that",
        "is",
        "it",
        "maybe",
        "but",
        ",",
        ".",
        "?",
        "yesterday",
        "like",
        "looks",
        "the",
        "eat",
        "probably",
        "or",
        "and",
        "we",
        "saw",
        "could",
        "be",
        "shrimps",
        "doubt",
        "sure",
        "isn't",
        "never",
        "where",
    ]
)


@given(talk=st.lists(WORDS, min_size=1, max_size=14).map(" ".join))
@settings(max_examples=300, deadline=None)
def test_any_talk_is_judged_once_a_mention(hear: Listener, talk: str) -> None:
    heard = hear(talk)
    assert len(heard.judgements) == len(heard.mentions)
    for judgement in heard.judgements:
        if judgement.status in TALK_ONLY:
            assert judgement.certainty is judgement.term is None
            assert judgement.cues
        else:
            assert judgement.certainty is not None
            assert 0 <= judgement.certainty <= 1
            assert judgement.term == certainty_term(judgement.certainty)
        assert judgement.absent <= (judgement.status == "denied")
