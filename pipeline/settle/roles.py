"""What phrases of talk do to the animal spoken of: the word list of turns, with its roles checked."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Literal, get_args

from earwitness.pipeline.words import word_rows
from earwitness.pipeline.words.phrases import Phrases, phrase_table

Role = Literal[
    "correction",
    "refusal",
    "doubt",
    "strike",
    "void",
    "lifeless",
    "agreement",
    "assent",
    "alternative",
    "between",
    "counter",
    "new",
    "more",
    "kept",
    "first",
    "second",
    "other",
    "presents",
    "retreat",
    "species",
    "stet",
    "indet",
    "undecided",
    "logging",
    "readback",
    "written",
    "none",
]
"""What a phrase of `words/turns.csv` does. "assent" is a yes that may be mere listening, "agreement" one that is not;
"stet" chooses to go no lower, "indet" cannot, "undecided" says so only at the end; "void" asks for no record,
"lifeless" says there is no animal; "between" weighs the two names behind it; "kept" goes on about the same one;
"written" says of the name before it that it is what is written down ("in the log");
"none" looks like another phrase and does nothing ("no problem")."""


FUNCTION_ROLES = (
    "asks for another",
    "leads to a rank",
    "hesitation",
    "head",
    "being",
    "making",
    "once believed",
    "article",
    "after a thing",
    "pro-form",
    "pronoun",
    "leads away",
    "side",
    "away from it",
    "naming",
    "place",
    "at a name",
    "definite",
    "bound",
    "indefinite",
    "adverb",
    "filler",
    "metres",
    "adding",
    "next",
    "pointing",
    "singular",
    "plural",
    "set of",
    "opening",
    "listing",
)
"""What a word of `words/function_words.csv` does beside a name or a number, each role by the rule that asks for it."""


@cache
def words_for(role: str, own: Path | None = None) -> frozenset[str]:
    """The small words that do this."""
    rows = word_rows("function_words", own)
    return frozenset(row["word"] for row in rows if role in row.some_of("roles", FUNCTION_ROLES))


@cache
def roles(own: Path | None) -> Phrases:
    """The word list of turns, with roles checked."""
    for row in word_rows("turns", own):
        row.one_of("role", get_args(Role))
    return phrase_table("turns", own=own)
