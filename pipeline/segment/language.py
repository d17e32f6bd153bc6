"""The spaCy pipeline: blank English with our component, or a statistical English pipeline the user names."""

from __future__ import annotations

import spacy
from spacy.language import Language

from earwitness.schemas import InputError, Problem


def build_language(model: str | None = None) -> Language:
    """A pipeline that has `earwitness_utterances` first.

    Args:
        model: name or folder of an installed spaCy pipeline; None for `spacy.blank("en")`, which is all we need.

    Raises:
        InputError: the named pipeline is not installed, or spaCy cannot load it.
    """
    if model is None:
        nlp = spacy.blank("en")
    else:
        try:
            nlp = spacy.load(model)
        except OSError as error:
            raise InputError(
                Problem(model, 0, "no spaCy pipeline of this name is installed", "an installed pipeline or none")
            ) from error
        except (ValueError, ImportError) as error:
            reason = f"spaCy cannot load this pipeline: {' '.join(str(error).split())[:200]}"
            raise InputError(Problem(model, 0, reason, "a pipeline that spacy.load can load")) from error
    if "earwitness_utterances" not in nlp.pipe_names:
        nlp.add_pipe("earwitness_utterances", first=True)
    return nlp
