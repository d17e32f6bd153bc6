"""What holds of any talk, however it jumps."""

from __future__ import annotations

from hypothesis import example, given, settings
from hypothesis import strategies as st

from earwitness.pipeline.judge.judgement import TALK_ONLY
from tests.judge.talk import Heard, Listener

NAMES = st.sampled_from(
    [
        "crab",
        "crabs",
        "sponge",
        "glass sponge",
        "Walteria",
        "Munida",
        "Munida sarsi",
        "squat lobster",
        "lobster",
        "Cape jagged lobster",
        "Desmophyllum pertusum",
        "cup coral",
        "squid",
        "octopus",
        "fish",
        "rattail",
        "sea star",
        "brisingid",
        "basket star",
        "Bathypathes",
        "Parantipathes",
    ]
)
FRAMES = st.sampled_from(
    [
        "A {}.",
        "Two {}.",
        "That is a {}.",
        "Is it a {}?",
        "Maybe a {}.",
        "Probably {}, I think.",
        "No, it's a {}.",
        "That's not a {}.",
        "No {} here.",
        "Another {}.",
        "A {} or a squid.",
        "Put {}.",
        "Like a {}.",
        "Yesterday we saw a {}.",
        "not a {} that is a crab",
        "no {} or crab but a sponge and ten fish",
    ]
)
NAMELESS = st.sampled_from(
    [
        "Yes.",
        "No.",
        "Genus only.",
        "Leave it at family.",
        "About twenty.",
        "Perhaps.",
        "No, three.",
        "Right.",
        "",
        "Hm.",
    ]
)
STATEMENTS = st.one_of(st.builds(lambda frame, name: frame.format(name), FRAMES, NAMES), NAMELESS)
TALK = st.lists(
    st.tuples(st.sampled_from("AB"), STATEMENTS, st.sampled_from([0.1, 1.0, 5.0, 12.0, 40.0])), min_size=1, max_size=10
)


@given(talk=TALK)
@example(talk=[("A", "Is it a squid?", 1.0), ("B", "No.", 1.0), ("A", "Yes.", 1.0), ("A", "Genus only.", 1.0)])
@settings(max_examples=300, deadline=None)
def test_sightings_of_any_talk(hear: Listener, talk: list[tuple[str, str, float]]) -> None:
    heard = hear(*[(who, text or "ah", silence) for who, text, silence in talk])
    _each_mention_at_most_once(heard)
    _in_order(heard)
    _names_come_from_the_talk(heard)


def _each_mention_at_most_once(heard: Heard) -> None:
    counted = [number for sighting in heard.sightings for number in sighting.mentions]
    assert len(counted) == len(set(counted))
    for number in counted:
        assert heard.judgements[number].status not in {*TALK_ONLY, "denied"}
    if not any(judgement.status == "denied" for judgement in heard.judgements) and "No." not in heard.doc.text:
        claimed = {n for n, j in enumerate(heard.judgements) if j.status in ("observed", "hedged", "asked")}
        assert set(counted) == claimed, "only a denial takes a claim away"


def _in_order(heard: Heard) -> None:
    firsts = [sighting.first for sighting in heard.sightings]
    assert firsts == sorted(firsts)
    for sighting in heard.sightings:
        assert list(sighting.mentions) == sorted(sighting.mentions)
        assert sighting.first < sighting.last
        # A retreat without a name and a name that is left point back to where it was said.
        made = [d.mention for d in sighting.determinations if d.step not in ("retreated", "confirmed")]
        assert made == sorted(made)
        assert {d.mention for d in sighting.determinations if d.step != "retracted"} <= set(sighting.mentions)
        assert sighting.determinations[0].step == "named"


def _names_come_from_the_talk(heard: Heard) -> None:
    """The name that stands was said, or is above one that was."""
    for sighting in heard.sightings:
        assert sighting.said in sighting.mentions
        assert 0 < sighting.certainty <= 1
        said = [heard.mentions[number].best.row for number in sighting.mentions]
        assert any(heard.checklist.is_same_or_ancestor(sighting.row, row) for row in said)
