"""Scientific names taken apart: the text of one name comes in, a ParsedName goes out.

Sub-genus, hybrid sign, rank markers, authorship and open-nomenclature signs are told apart from the name.
Refuses nothing: what is not a scientific name comes back with parsed=False, never as an exception.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache

from earwitness.taxonomy.tables import data_rows


@dataclass(frozen=True, slots=True)
class ParsedName:
    """The parts of one scientific name; a part that is not there is an empty string.

    Args:
        verbatim: the text as given.
        canonical: genus and epithets (or the one word of a name above species) alone: no authorship,
            sub-genus, hybrid sign, rank marker or qualifier. Empty when parsed is False. A qualifier may mean
            that the canonical name is not the determination ("aff. pertusa" is another species).
        genus: of a species or lower, "L." when abbreviated; also of a sub-genus.
        subgenus: without its brackets.
        specific_epithet, infraspecific_epithet: lower case.
        rank_marker: as written: "var.", "f.", "subsp.".
        authorship: as written, of the lowest part of the name.
        hybrid: a hybrid sign stands in the text.
        abbreviated_genus: "L. pertusa", "Lo. pertusa".
        qualifier: open-nomenclature signs and remarks in reading order, as written: "cf.", "sp. A", "?",
            "sensu lato".
        uninomial: the one word of a name that is not a species or below.
        rank: rank of the canonical name where the text shows it, else None.
        parsed: False when the text is not a scientific name, or only partly one.
    """

    verbatim: str
    canonical: str = ""
    genus: str = ""
    subgenus: str = ""
    specific_epithet: str = ""
    infraspecific_epithet: str = ""
    rank_marker: str = ""
    authorship: str = ""
    hybrid: bool = False
    abbreviated_genus: bool = False
    qualifier: str = ""
    uninomial: str = ""
    rank: str | None = None
    parsed: bool = False


_LOWER = "a-zà-öø-ÿœšžāăąćčęěłńňőřśţůź"
_GENUS = rf"[A-ZÀ-ÖØ-ÞŒŠŽ][{_LOWER}]+(?:-[{_LOWER}]+)?"
_EPITHET = rf"(?:(?:\d{{1,2}}-)?[{_LOWER}]{{2,}}(?:['-][{_LOWER}]+)*|[{_LOWER}]['-][{_LOWER}]{{2,}})"
_ABBREVIATED = rf"[A-ZŒ][{_LOWER}]{{0,3}}\."
_AUTHOR = r"(?:[A-Z]\. ?)*(?:[dDO]')?[A-Z][a-zà-öø-ÿ]{2,}(?:[ -][A-Z][a-zà-öø-ÿ]{2,})?"
_AUTHORS = rf"{_AUTHOR}(?:(?:, | & | and | et | in ){_AUTHOR})*,? (?:1[6-9]|20)\d\d"
_IS_GENUS, _IS_EPITHET, _IS_ABBREVIATED = map(re.compile, (_GENUS, _EPITHET, _ABBREVIATED))
_YEAR = re.compile(r"(?:1[6-9]|20)\d\d[a-z]?(?:[-/]\d{2,4})?\??")
_HYBRID = "\u00d7"
_TYPOGRAPHY = str.maketrans("\u2018\u2019\u201c\u201d\u2010\u2013\u2020", "''\"\"-- ")
"""Curly quotes, printed hyphens and dashes to their keyboard twins; the dagger of extinct taxa to a blank."""

_FAMILY_ENDINGS = {"idae": "family", "inae": "subfamily", "aceae": "family"}
"""ICZN Article 29.2 and ICN Article 18; "-oidea" is left out because classes (Asteroidea) end so too."""


@cache
def sign_words(kind: str) -> frozenset[str]:
    """The words of one kind in data/name_signs.csv: sign, concept, rank, particle, joint, suffix."""
    return frozenset(row["text"] for row in data_rows("name_signs.csv") if row["kind"] == kind)


@cache
def _no_epithets() -> frozenset[str]:
    return frozenset().union(*map(sign_words, ("sign", "concept", "rank", "particle", "joint", "suffix")))


@cache
def _between_persons() -> frozenset[str]:
    return frozenset().union(*map(sign_words, ("joint", "particle", "suffix")))


@cache
def _sometimes_epithets() -> frozenset[str]:
    short = {word for word in sign_words("rank") if len(word) < 3}
    words = sign_words("particle") | sign_words("suffix") | short
    return frozenset(word for word in words if _IS_EPITHET.fullmatch(word))


@cache
def _marker_ranks() -> dict[str, str]:
    return {row["text"]: row["meaning"] for row in data_rows("name_signs.csv") if row["kind"] == "rank"}


PLAIN_NAME = rf"^{_GENUS}(?: {_EPITHET}){{0,2}}$"
"""The shape of a name that is its own canonical name, for a regular-expression engine over a whole column."""

PLAIN_NAME_WITH_AUTHOR = rf"^({_GENUS}(?: {_EPITHET}){{0,2}}) ({_AUTHORS}|\({_AUTHORS}\))$"
"""The commonest shape of a name with its authorship: two groups, canonical name and authorship."""


@cache
def not_plain() -> str:
    """Expression for what has the shape of a plain name and may be none: signs, families with epithets."""
    words = "|".join(sorted(word for word in _no_epithets() if word.isalpha()))
    placeholders = "|".join(sorted(word.capitalize() for word in sign_words("placeholder")))
    return rf"^(?:{placeholders})\b|idae |[ '-](?:{words})(?:[ '-]|$)"


def parse_name(text: str) -> ParsedName:
    """Take one scientific name apart. Never raises.

    parse_name("Lophelia pertusa (Linnaeus, 1758)").canonical   # "Lophelia pertusa"
    """
    reading = _Reading(_words(text))
    parsed = reading.read()
    qualifier = " ".join(reading.qualifiers)
    if not parsed:
        return ParsedName(text, hybrid=reading.hybrid, qualifier=qualifier)
    uninomial = "" if reading.species else reading.subgenus or reading.genus
    parts = (reading.genus, reading.species, reading.infraspecies)
    return ParsedName(
        verbatim=text,
        canonical=uninomial or " ".join(part for part in parts if part),
        genus=reading.genus if reading.species or reading.subgenus else "",
        subgenus=reading.subgenus,
        specific_epithet=reading.species,
        infraspecific_epithet=reading.infraspecies,
        rank_marker=reading.marker,
        authorship=reading.authorship,
        hybrid=reading.hybrid,
        abbreviated_genus=reading.genus.endswith("."),
        qualifier=qualifier,
        uninomial=uninomial,
        rank=_rank(reading),
        parsed=True,
    )


def _rank(reading: _Reading) -> str | None:
    if reading.infraspecies:
        return _marker_ranks().get(_bare(reading.marker), "subspecies")
    if reading.species:
        return "species"
    if reading.subgenus:
        return "subgenus"
    return next((rank for ending, rank in _FAMILY_ENDINGS.items() if reading.genus.endswith(ending)), None)


def _words(text: str) -> list[str]:
    """Words of the name: hybrid signs stand alone, brackets cling to what they hold, decorations are gone."""
    folded = unicodedata.normalize("NFC", text).translate(_TYPOGRAPHY).replace(_HYBRID, f" {_HYBRID} ")
    folded = " ".join(folded.split()).strip(" \"'")
    folded = re.sub(r"([(\[]) ", r"\1", re.sub(r" ([)\],])", r"\1", folded))
    words = folded.split()
    return [_HYBRID if word in ("x", "X") and i + 1 < len(words) else word for i, word in enumerate(words)]


def _bare(word: str) -> str:
    return word.lower().rstrip(".,;:")


def _is_sign(word: str) -> bool:
    """A sign is lower case, or carries its full stop ("Sp.")."""
    return _bare(word) in sign_words("sign") and (word == word.lower() or word.endswith("."))


def _is_genus(word: str) -> bool:
    return (
        bool(_IS_GENUS.fullmatch(word))
        and word.partition("-")[2] not in _no_epithets()
        and word.lower() not in sign_words("placeholder")
    )


def _is_epithet(word: str) -> bool:
    return bool(_IS_EPITHET.fullmatch(word)) and word not in _no_epithets()


def _is_authorship(words: Sequence[str]) -> bool:
    """Persons, joined by commas and "&", perhaps with years and brackets, and nothing else."""
    text = " ".join(words)
    if text.count("(") != text.count(")") or text.count("[") != text.count("]"):
        return False
    tokens = re.sub(r"[()\[\],;:]", " ", text).replace("&", " & ").split()
    persons = 0
    for token in tokens:
        if token in _between_persons() or _YEAR.fullmatch(token):
            continue
        if not _is_person(token):
            return False
        persons += 1
    # "Type II", "DG", "USNM": codes of strains and collections look like this, authors seldom do.
    coded = bool(tokens) and re.fullmatch(r"[A-Z]{1,4}", tokens[-1]) is not None
    return persons > 0 and not coded


def _is_person(token: str) -> bool:
    letters = re.sub(r"['`.-]", "", token)
    return letters.isalpha() and any(char.isupper() for char in letters[:2])


@dataclass(slots=True)
class _Reading:
    """One pass over the words, from the left; `at` is the next word to look at."""

    words: list[str]
    at: int = 0
    genus: str = ""
    subgenus: str = ""
    species: str = ""
    infraspecies: str = ""
    marker: str = ""
    authorship: str = ""
    hybrid: bool = False
    qualifiers: list[str] = field(default_factory=list)

    def read(self) -> bool:
        """Fill the parts; False when something is left that belongs to no name."""
        self._hybrid_sign()
        self._sign()
        if not self._first_word():
            return False
        while self.at < len(self.words):
            taken = (
                self._cross()
                if self._word() == _HYBRID
                else self._remark() or self._sign() or self._marked_epithet() or self._epithet() or self._authors()
            )
            if not taken:
                return False
        # An initial is only a name together with an epithet.
        return bool(self.species) or not (self.subgenus or self.genus).endswith(".")

    def _word(self, ahead: int = 0) -> str:
        at = self.at + ahead
        return self.words[at] if at < len(self.words) else ""

    def _rest(self) -> bool:
        self.qualifiers.append(" ".join(self.words[self.at :]))
        self.at = len(self.words)
        return True

    def _hybrid_sign(self) -> bool:
        if self._word() == _HYBRID:
            self.hybrid = True
            self.at += 1
        return self.hybrid

    def _cross(self) -> bool:
        """A cross before an epithet; after a whole species it makes a hybrid formula, which is no name."""
        formula = bool(self.species)
        return self._hybrid_sign() and not formula and self._epithet()

    def _first_word(self) -> bool:
        word = self._without_doubt(self._word())
        if not (_is_genus(word) or _IS_ABBREVIATED.fullmatch(word)):
            word = word.rstrip(".,")
        if not (_is_genus(word) or _IS_ABBREVIATED.fullmatch(word)):
            return False
        self.genus = word
        self.at += 1
        self._sign()
        inner = self._word().removeprefix("(").removesuffix(")")
        if self._word() == f"({inner})" and (_is_genus(inner) or _IS_ABBREVIATED.fullmatch(inner)):
            self.subgenus = inner
            self.at += 1
        return True

    def _without_doubt(self, word: str) -> str:
        bare = word.removeprefix("?").removesuffix("(?)").removesuffix("?")
        if bare and bare != word:
            self.qualifiers.append("?")
            return bare
        return word

    def _sign(self) -> bool:
        """A run of signs is one qualifier ("gen. et sp. indet."), with the code that may follow "sp."."""
        start = self.at
        while _is_sign(self._word()) or (self.at > start and self._word() in ("et", "&") and _is_sign(self._word(1))):
            self.at += 1
        run = self.words[start : self.at]
        if self._word() and self._leaves_species_open(run):
            self.at = start
            return self._rest()
        if run:
            self.qualifiers.append(" ".join(run))
        return bool(run)

    def _leaves_species_open(self, run: Sequence[str]) -> bool:
        """Whether what follows the signs is a working code: "sp. A", "sp. nov. 2", "sp1"."""
        if not self.genus or self.species:
            return False
        if re.fullmatch(r"sp+\.?(?:\d\w*|[A-Z]\w*)", self._word()):
            return True
        signs = [_bare(word) for word in run]
        return bool({"sp", "spp"} & set(signs)) and signs[-1] in ("sp", "spp", "nov", "n", "indet", "inc")

    def _remark(self) -> bool:
        """What somebody meant by the name, or a note on its standing: the whole rest."""
        word = _bare(self._word())
        unnamed = word in ("ssp", "subsp") and bool(self.species) and not _is_epithet(self._word(1))
        return (word in sign_words("concept") or unnamed) and self._rest()

    def _is_marker(self, ahead: int) -> bool:
        word = self._word(ahead)
        known = _bare(word) in sign_words("rank") and (word.endswith(".") or len(word) > 3)
        followed = _is_epithet(self._word(ahead + 1))
        return known and followed and bool(self.species) and not self._is_short()

    def _is_short(self) -> bool:
        """A species that could be another sort of word stands last, or it would read otherwise next time."""
        return self.species in _sometimes_epithets()

    def _marked_epithet(self) -> bool:
        if not self._is_marker(0):
            return False
        self.marker, self.infraspecies = self.words[self.at : self.at + 2]
        self.authorship = ""
        self.at += 2
        return True

    def _epithet(self) -> bool:
        if self.infraspecies or self.authorship or self.genus.endswith("idae") or self._is_short():
            return False
        doubts = len(self.qualifiers)
        word = self._without_doubt(self._word())
        if not (_is_epithet(word) or self._is_short_epithet(word)):
            del self.qualifiers[doubts:]
            return False
        if self.species:
            self.infraspecies = word
        else:
            self.species = word
        self.at += 1
        return True

    def _is_short_epithet(self, word: str) -> bool:
        """Whether a word like "fo" or "ten" is the species after all: nothing, or an author, follows."""
        if self.species or word not in _sometimes_epithets():
            return False
        following = self._word(1)
        alone = not following or (following.startswith("(") and not _is_sign(following))
        return alone or (following[0].isupper() and word not in sign_words("particle"))

    def _authors(self) -> bool:
        start = self.at
        while self._word() and not (
            _is_sign(self._word()) or _bare(self._word()) in sign_words("concept") or self._is_marker(0)
        ):
            self.at += 1
        words = self.words[start : self.at]
        if self.authorship or not _is_authorship(words):
            return False
        self.authorship = " ".join(words).strip(" ,")
        return True
