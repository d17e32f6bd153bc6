"""Names said in short: "L. pertusa" for a genus with that initial, "pertusa" for a genus that was said before."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable

from wordfreq import zipf_frequency

from earwitness.pipeline.mention.mentions import Candidate, How
from earwitness.pipeline.mention.spans import Found, covered
from earwitness.pipeline.mention.spoken_words import SpokenWord
from earwitness.taxonomy import NameIndex, exact_score
from earwitness.taxonomy.health import COMMON_WORD

_SHORTEST_EPITHET = 4


class ShortenedNames:
    """Finds abbreviated genera and epithets alone, with the genera already said as context."""

    def __init__(self, index: NameIndex):
        self.index = index

    def find(self, words: list[SpokenWord], exact: list[Found]) -> list[Found]:
        """Shortened names among the words that exact names left over."""
        taken = covered(exact, len(words))
        said = self._genera_said(exact)
        found: list[Found] = []
        for at, word in enumerate(words):
            if taken[at] or word.key not in self.index.epithets or len(word.key) < _SHORTEST_EPITHET:
                continue
            # Nothing stands between the two: "L. pertusa", but not "vent C, pertusa".
            initial = words[at - 1] if at and not taken[at - 1] and words[at - 1].end >= word.start else None
            if initial and len(initial.key) == 1 and initial.capital and initial.key.isalpha():
                span = self._abbreviated(initial.key, word.key, at, said)
            elif zipf_frequency(word.key, "en") < COMMON_WORD:
                span = self._epithet(word.key, at, said)
            else:
                span = None
            if span:
                found.append(span)
        return found

    def _genera_said(self, exact: list[Found]) -> list[tuple[int, str]]:
        """Where in the words which genus was named, in order: the accepted one and the one that was said."""
        said: list[tuple[int, str]] = []
        for span in exact:
            if not span.candidates:
                continue
            best = span.candidates[0]
            for row in {best.row, best.said_row}:
                taxon = self.index.checklist.taxon(row)
                if taxon.rank in ("genus", "species", "subspecies"):
                    said.append((span.first, taxon.scientific_name.split(" ")[0]))
        return sorted(said)

    def _abbreviated(self, initial: str, epithet: str, at: int, said: list[tuple[int, str]]) -> Found | None:
        rows = self._rows(epithet, lambda genus: genus.lower().startswith(initial))
        return self._span(rows, at - 1, at + 1, said, "abbreviated")

    def _epithet(self, epithet: str, at: int, said: list[tuple[int, str]]) -> Found | None:
        before = {genus for _, genus in said[: bisect_left(said, (at, ""))]}
        rows = self._rows(epithet, lambda genus: genus in before)
        return self._span(rows, at, at + 1, said, "epithet")

    def _rows(self, epithet: str, fits: Callable[[str], bool]) -> list[int]:
        names = ((row, self.index.checklist.taxon(row).scientific_name) for row in self.index.epithets[epithet])
        return [row for row, name in names if fits(name.split(" ")[0])]

    def _span(self, rows: list[int], first: int, last: int, said: list[tuple[int, str]], how: How) -> Found | None:
        """The rows as candidates: the genus said last before (else next after) this place is the likeliest."""
        if not rows:
            return None
        checklist = self.index.checklist

        def distance(row: int) -> tuple[int, int]:
            genus = checklist.taxon(row).scientific_name.split(" ")[0]
            places = [place for place, name in said if name == genus]
            before = [first - place for place in places if place < first]
            return (0, min(before)) if before else (1, min((p - first for p in places), default=10**9))

        ordered = sorted(rows, key=lambda row: (distance(row), row))
        known = distance(ordered[0])[1] < 10**9
        # Two names of one taxon are no doubt about it: the likelier name of each stands for it.
        taxa: dict[int, int] = {}
        for row in ordered:
            taxa.setdefault(checklist.accepted(row), row)
        candidates = []
        for place, (accepted, row) in enumerate(taxa.items()):
            sure = place == 0 and (known or len(taxa) == 1)
            score = exact_score(how) if sure else exact_score(how) / len(taxa)
            name = checklist.taxon(row).scientific_name
            candidates.append(Candidate(accepted, row, name, how, round(score, 3)))
        return Found(first, last, tuple(candidates[:5]))
