"""English vernacular names in singular and plural.

In: one vernacular name in either number. Out: all its forms in lower case, singular first.
Refuses nothing: group labels ("sharks and rays") and heads that do not inflect come back as they are.
"""

from __future__ import annotations

import re
from functools import cache, lru_cache
from typing import TYPE_CHECKING

from earwitness.taxonomy.tables import data_rows

if TYPE_CHECKING:
    import inflect

_GROUP_LABEL = re.compile(r"\band\b|\bor\b|[,;&/()]")
_OF = re.compile(r"(.* )?(\S+)( of (?:the )?\S+)")
"""With one word after "of" the head stands before it: "pearls of Likoma", but "Gulf of Mexico flounders"."""
_INFLECTS = re.compile(r"[^\W\d_]{3,}")
_NEVER_PLURAL = ("ss", "us", "is")
"""A word that ends so is a singular: grass, walrus, chromis."""


def name_forms(vernacular: str) -> tuple[str, ...]:
    """Singular and plural forms of a vernacular name; the head noun is inflected, the rest stays.

    name_forms("Bird's nest sponge")   # ("bird's nest sponge", "bird's nest sponges")

    Plural input gives its singular too. Some words have several plurals (data/plurals.csv).
    """
    name = " ".join(vernacular.lower().replace("\u2019", "'").split())
    if not name or _GROUP_LABEL.search(name):
        return (name,) if name else ()
    words = name.split(" ")
    for length in range(min(len(words), _longest_ending()), 0, -1):
        forms = _listed().get(" ".join(words[-length:]))
        if forms:
            return _with_rest(" ".join(words[:-length]), forms)
    named_after = _OF.fullmatch(name)
    if named_after:
        rest, head, tail = named_after.groups(default="")
        return _with_rest(rest.rstrip(), tuple(form + tail for form in _head_forms(head)))
    return _with_rest(" ".join(words[:-1]), _head_forms(words[-1]))


def _with_rest(rest: str, forms: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(f"{rest} {form}" for form in forms) if rest else forms


@cache
def _engine() -> inflect.engine:
    # inflect has typeguard write all its methods anew when it is imported, which takes seconds: for checks of types at
    # run time that nothing here needs.
    import typeguard

    checked = typeguard.typechecked
    vars(typeguard)["typechecked"] = lambda method: method
    try:
        import inflect
    finally:
        vars(typeguard)["typechecked"] = checked
    return inflect.engine()


@cache
def _listed() -> dict[str, tuple[str, ...]]:
    """Every form of the listed words and phrases -> all forms."""
    rows = [tuple(row["forms"].split("|")) for row in data_rows("plurals.csv") if row["kind"] != "suffix"]
    return {form: forms for forms in rows for form in forms}


@cache
def _longest_ending() -> int:
    return max(form.count(" ") + 1 for form in _listed())


@cache
def _suffixes() -> tuple[tuple[str, ...], ...]:
    """Forms of word endings, the longest form first for matching ("fishes" before "fish")."""
    return tuple(tuple(row["forms"].split("|")) for row in data_rows("plurals.csv") if row["kind"] == "suffix")


@lru_cache(maxsize=20_000)
def _head_forms(head: str) -> tuple[str, ...]:
    """Forms of one lower-case word. A compound with hyphens inflects its last part: "cusk-eels"."""
    if head in _listed():
        return _listed()[head]
    stem, hyphen, last = head.rpartition("-")
    if hyphen:
        return tuple(f"{stem}-{form}" for form in _head_forms(last))
    for forms in _suffixes():
        for form in sorted(forms, key=len, reverse=True):
            if head.endswith(form):
                return tuple(head.removesuffix(form) + other for other in forms)
    if not _INFLECTS.fullmatch(head):
        return (head,)
    singular = _singular(head)
    return tuple(dict.fromkeys((singular, *_plurals(singular))))


def _plurals(word: str) -> tuple[str, ...]:
    plural = str(_engine().plural_noun(word))
    if plural == f"{word}s" and word.endswith("s"):
        return (f"{word}es",)
    # inflect knows bream and whiting as their own plurals; people say both.
    return (word, f"{word}s") if plural == word and not word.endswith("s") else (plural,)


def _singular(word: str) -> str:
    """The singular of a plural; the word itself where the plural of that would be another word."""
    if word.endswith(_NEVER_PLURAL):
        return word
    # inflect knows breams as its own plural, so the plain ending is tried too.
    for singular in (_engine().singular_noun(word), word.removesuffix("s")):
        if singular and singular != word and word in _plurals(singular):
            return str(singular)
    return word
