"""The judge stage as a spaCy component."""

from __future__ import annotations

from pathlib import Path

from spacy.language import Language
from spacy.tokens import Doc

from earwitness.pipeline.judge.judgement import set_judgements
from earwitness.pipeline.judge.reading import judge_mentions
from earwitness.pipeline.mention import mentions_of
from earwitness.pipeline.people import find_people


@Language.factory("earwitness_judgements", default_config={"words": None})
def make_judgements(nlp: Language, name: str, words: str | None) -> Judgements:
    """The factory behind `nlp.add_pipe("earwitness_judgements")`; see `Judgements`."""
    return Judgements(Path(words) if words else None)


class Judgements:
    """Judges the mentions of a Doc: `earwitness.pipeline.judge.judgements_of(doc)`, one for each of `mentions_of(doc)`.

        nlp.add_pipe("earwitness_mentions", config={"checklist": "checklist.csv"})
        nlp.add_pipe("earwitness_judgements")
        doc = nlp("that is not a glass sponge")
        judgements_of(doc)[0].status

    Args:
        words: folder with the user's own word lists, or None.
    """

    def __init__(self, words: Path | None = None):
        self.words = words

    def __call__(self, doc: Doc) -> Doc:
        """Judge the mentions of a Doc."""
        mentions = mentions_of(doc)
        set_judgements(doc, judge_mentions(doc, mentions, self.words, find_people(doc, self.words, mentions)))
        return doc
