"""The mention stage as a spaCy component."""

from __future__ import annotations

from spacy.language import Language
from spacy.tokens import Doc

from earwitness.pipeline.mention.find import find_mentions
from earwitness.pipeline.mention.mentions import set_mentions
from earwitness.taxonomy import NameIndex, open_index


@Language.factory("earwitness_mentions", default_config={"checklist": None})
def make_mentions(nlp: Language, name: str, checklist: str | None) -> Mentions:
    """The factory behind `nlp.add_pipe("earwitness_mentions")`; see `Mentions`."""
    if checklist is None:
        raise ValueError('earwitness_mentions needs a checklist: config={"checklist": "FILE"}')
    return Mentions(open_index(checklist))


class Mentions:
    """Sets `doc.spans["mentions"]`, each span labelled with the name it most likely means.

        nlp = spacy.blank("en")
        nlp.add_pipe("earwitness_utterances")
        nlp.add_pipe("earwitness_mentions", config={"checklist": "checklist.csv"})
        doc = nlp("that is a glass sponge")
        [(span.text, span.label_) for span in doc.spans["mentions"]]

    Candidates and scores: `earwitness.pipeline.mention.mentions_of(doc)`.

    Args:
        index: the names to look for.
    """

    def __init__(self, index: NameIndex):
        self.index = index

    def __call__(self, doc: Doc) -> Doc:
        """Find the mentions of a Doc that has sentences."""
        set_mentions(doc, find_mentions(doc, self.index))
        return doc
