"""Our certainties against published scales of verbal probability."""

from __future__ import annotations

import pytest
import spacy

from earwitness.pipeline.judge.cues import claim_cues

# S. Kent (1964), Words of estimative probability: middle and half width, percent.
KENT = {
    "almost certain": (93, 6),
    "probable": (75, 12),
    "about even": (50, 10),
    "probably not": (30, 10),
    "almost certainly not": (7, 5),
}
# ICD 203, Analytic standards (figures second-hand): percent.
ICD_203 = {
    "very likely": (80, 95),
    "likely": (55, 80),
    "unlikely": (20, 45),
    "very unlikely": (5, 20),
}
# F. Mosteller and C. Youtz (1990), Quantifying probabilistic expressions, Statistical Science 5(1) (medians,
# second-hand): percent, from the likeliest down.
MOSTELLER_YOUTZ = {"almost certain": 90, "very likely": 87.5, "likely": 71, "possible": 38.5}
# M. Mastrandrea et al. (2010), IPCC guidance note on uncertainties: percent, bounds of the likelihood of the outcome.
IPCC = {"very likely": (90, 100), "likely": (66, 100), "unlikely": (0, 33), "very unlikely": (0, 10)}

INTERVALS = {phrase: (middle - half, middle + half) for phrase, (middle, half) in KENT.items()} | ICD_203
nlp = spacy.blank("en")


def bounds(phrase: str) -> tuple[float, float, float]:
    """Low, middle and high certainty (percent) of a phrase of ours."""
    doc = nlp(phrase)
    (cue,) = claim_cues(doc, 0, len(doc))
    assert cue.rule.low is not None
    assert cue.rule.high is not None
    assert cue.rule.certainty is not None
    return 100 * cue.rule.low, 100 * cue.rule.certainty, 100 * cue.rule.high


@pytest.mark.parametrize("phrase", INTERVALS)
def test_interval_is_the_published_one(phrase: str) -> None:
    low, middle, high = bounds(phrase)
    assert (low, high) == pytest.approx(INTERVALS[phrase])
    assert INTERVALS[phrase][0] <= middle <= INTERVALS[phrase][1]


@pytest.mark.parametrize("scale", [KENT, ICD_203, MOSTELLER_YOUTZ, IPCC], ids=["Kent", "ICD 203", "M and Y", "IPCC"])
def test_order_is_the_published_one(scale: dict[str, object]) -> None:
    middles = [bounds(phrase)[1] for phrase in scale]
    assert middles == sorted(middles, reverse=True)
    assert len(set(middles)) == len(middles)


def test_possible_is_the_published_median() -> None:
    assert bounds("possible")[1] == pytest.approx(MOSTELLER_YOUTZ["possible"])


@pytest.mark.parametrize(
    ("phrase", "like"),
    [
        ("almost certainly", "almost certain"),
        ("probably", "probable"),
        ("possibly", "possible"),
        ("not likely", "unlikely"),
        ("fifty fifty", "about even"),
    ],
)
def test_forms_of_one_word_are_worth_the_same(phrase: str, like: str) -> None:
    assert bounds(phrase) == bounds(like)


def test_words_of_ours_lie_where_the_published_ones_leave_room() -> None:
    """Ours without a published value, between neighbours that have one (common practice, no source)."""
    order = ["definitely", "almost certain", "must be", "i think", "about even", "possible", "unlikely", "no sign of"]
    middles = [bounds(phrase)[1] for phrase in order]
    assert middles == sorted(middles, reverse=True)
