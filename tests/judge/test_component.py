"""The judge stage as a spaCy component, and judgements on a Doc."""

from __future__ import annotations

from pathlib import Path

import spacy

from earwitness.pipeline.judge import Judgement, judgements_of, set_judgements
from earwitness.pipeline.words.terms import certainty_term

from .talk import write_checklist


def test_component_judges_what_the_mention_component_found(tmp_path: Path) -> None:
    nlp = spacy.blank("en")
    nlp.add_pipe("earwitness_utterances")
    nlp.add_pipe("earwitness_mentions", config={"checklist": str(write_checklist(tmp_path))})
    nlp.add_pipe("earwitness_judgements")
    statuses = [judgement.status for judgement in judgements_of(nlp("That is not a glass sponge, it is a crab."))]
    assert statuses == ["denied", "observed"]


def test_component_takes_own_words(tmp_path: Path) -> None:
    (tmp_path / "claims.csv").write_text(
        "phrase,category,direction,reach,low,high,source\ni fancy,hedge,both,clause,0.5,0.7,ours\n", encoding="utf-8"
    )
    nlp = spacy.blank("en")
    nlp.add_pipe("earwitness_utterances")
    nlp.add_pipe("earwitness_mentions", config={"checklist": str(write_checklist(tmp_path))})
    nlp.add_pipe("earwitness_judgements", config={"words": str(tmp_path)})
    assert [judgement.status for judgement in judgements_of(nlp("I fancy that is a crab."))] == ["hedged"]


def test_judgements_lie_on_the_doc() -> None:
    doc = spacy.blank("en")("a crab")
    assert judgements_of(doc) == ()
    judgement = Judgement("observed", 0.95, "certain")
    set_judgements(doc, (judgement,))
    assert judgements_of(doc) == (judgement,)


def test_terms_by_their_bounds() -> None:
    """The bounds of words/certainty_terms.csv belong to the term above them."""
    terms = [(1.0, "certain"), (0.9, "certain"), (0.899, "probable"), (0.55, "probable"), (0.549, "possible")]
    terms += [(0.2, "possible"), (0.199, "doubtful"), (0.0, "doubtful")]
    assert [certainty_term(certainty) for certainty, _ in terms] == [term for _, term in terms]
