"""What could this be? Heard words and an index come in, ranked taxa with a nameScore go out.

What people corrected comes first, then names that the words spell, then names they may stand for as heard. Refuses
nothing; words without letters give no taxa.
"""

from __future__ import annotations

from dataclasses import dataclass

from earwitness.taxonomy.corrections import Corrections
from earwitness.taxonomy.entries import NameEntry
from earwitness.taxonomy.fold import has_letters, spoken_key
from earwitness.taxonomy.name_index import NameIndex
from earwitness.taxonomy.name_score import exact_score


@dataclass(frozen=True, slots=True)
class Suggestion:
    """One taxon that heard words may mean: its accepted row, the name that fits, and how likely (0-1) it is."""

    row: int
    entry: NameEntry
    score: float


def ask(index: NameIndex, heard: str, limit: int = 5, corrections: Corrections | None = None) -> list[Suggestion]:
    """Taxa that heard words may mean, best first, at most `limit`."""
    key = spoken_key(heard.replace("\n", " "))
    if not has_letters(key) or (corrections is not None and corrections.is_no_name(key)):
        return []
    found: dict[int, Suggestion] = {}
    rows = corrections.names_for(key) if corrections is not None else ()
    for row in rows:
        entry = NameEntry(index.checklist.taxon(row).scientific_name, key, row, "scientific")
        score = exact_score("corrected") / (1 if row == rows[0] else len(rows))
        found[row] = Suggestion(row, entry, round(score, 3))
    accepted = index.checklist.accepted
    spelt: dict[int, NameEntry] = {}
    for entry in index.exact(key):
        spelt.setdefault(accepted(entry.row), entry)
    for row, entry in spelt.items():
        found.setdefault(row, Suggestion(row, entry, round(exact_score("exact") / len(spelt), 3)))
    # A heard name is never surer than one that was corrected or came through as written.
    most = min((suggestion.score for suggestion in found.values()), default=exact_score("exact"))
    for name in index.ear.hear([key])[0]:
        if name.row not in found:
            found[name.row] = Suggestion(name.row, index.entry(name.entry), round(min(name.share, most), 3))
    return sorted(found.values(), key=lambda suggestion: (suggestion.row not in rows, -suggestion.score))[:limit]
