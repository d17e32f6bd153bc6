"""Names that stand in the text as the checklist has them, singular or plural, longest first."""

from __future__ import annotations

from pathlib import Path

from wordfreq import zipf_frequency

from earwitness.pipeline.mention.mentions import Candidate
from earwitness.pipeline.mention.spans import Found, covered, key_of
from earwitness.pipeline.mention.spoken_words import SpokenWord
from earwitness.pipeline.words import word_rows
from earwitness.taxonomy import LONGEST_NAME, NameEntry, NameIndex, exact_score
from earwitness.taxonomy.health import COMMON_WORD

_WIDEST_GROUP = ("class", "subclass", "infraclass", "superorder", "order", "suborder", "infraorder")


class ExactNames:
    """Finds names by exact look-up in a NameIndex."""

    def __init__(self, index: NameIndex, own_words: Path | None = None):
        self.index = index
        self.ordinary = {row["word"] for row in word_rows("ordinary_words", own_words)}
        self.before_animals = {row["word"] for row in word_rows("before_animals", own_words)}

    def find(self, words: list[SpokenWord], barred: list[Found]) -> list[Found]:
        """Non-overlapping exact names, the longest at each place, none of them in a barred span."""
        taken = covered(barred, len(words))
        found: list[Found] = []
        at = 0
        while at < len(words):
            span = None if taken[at] else self._longest_at(words, at, taken)
            if span is None:
                at += 1
            else:
                found.append(span)
                at = span.last
        return found

    def _longest_at(self, words: list[SpokenWord], first: int, taken: list[bool]) -> Found | None:
        if words[first].key not in self.index.first_words and words[first].bare not in self.index.first_words:
            return None
        last = first + 1
        while last < len(words) and last - first < LONGEST_NAME and not (words[last].parted or taken[last]):
            last += 1
        while last > first:
            # Without the genitive s first: "the crab's claw" is one crab, not crabs.
            for bare in (True, False):
                entries = self.index.exact(key_of(words, first, last, bare))
                entries = tuple(e for e in entries if self._is_believable(words, first, last, e))
                if entries:
                    return Found(first, last, self.candidates(entries))
            last -= 1
        return None

    def _is_believable(self, words: list[SpokenWord], first: int, last: int, entry: NameEntry) -> bool:
        """Whether these words, though they spell a name, are not just English."""
        if entry.key in self.ordinary:
            before = words[first - 1].key if first and not words[first].parted else ""
            one_of_them = before in self.before_animals or before.isdigit()
            return entry.kind != "scientific" and one_of_them and entry.key not in ("animal", "animals")
        if last - first > 1 or entry.kind != "scientific":
            return True
        return zipf_frequency(entry.key, "en") < COMMON_WORD

    def candidates(self, entries: tuple[NameEntry, ...]) -> tuple[Candidate, ...]:
        """Candidates for names that are spelt alike: the group that holds them all first, if it is a narrow one."""
        checklist = self.index.checklist
        rows: dict[int, NameEntry] = {}
        for entry in entries:
            rows.setdefault(checklist.accepted(entry.row), entry)
        if len(rows) == 1:
            ((row, entry),) = rows.items()
            score = exact_score("exact")
            return (Candidate(row, entry.row, entry.text, "exact", score, entry.number),)
        shared = exact_score("exact")
        each = round(shared / len(rows), 3)
        group = self._common_group(list(rows))
        singles = [
            Candidate(row, e.row, e.text, "exact", shared if row == group else each, e.number)
            for row, e in rows.items()
        ]
        if group is not None and group not in rows:
            singles.append(Candidate(group, group, entries[0].text, "group", exact_score("group"), entries[0].number))
        return tuple(sorted(singles, key=lambda c: (-c.score, c.row)))

    def _common_group(self, rows: list[int]) -> int | None:
        """The lowest taxon that holds all rows (one of them, or above), None where it would be too wide to say."""
        checklist = self.index.checklist
        for row in (rows[0], *checklist.lineage(rows[0])):
            if all(checklist.is_same_or_ancestor(row, other) for other in rows):
                taxon = checklist.taxon(row)
                narrow = row in rows or taxon.rank in _WIDEST_GROUP or bool(taxon.family)
                return row if narrow or "family" in (taxon.rank or "") else None
        return None
