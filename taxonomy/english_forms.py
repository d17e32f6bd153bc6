"""What English makes of the names of higher groups: Hexactinellida -> a hexactinellid, hexactinellids."""

from __future__ import annotations

from functools import cache

from earwitness.taxonomy.tables import data_rows


@cache
def _endings() -> tuple[tuple[str, str, frozenset[str]], ...]:
    return tuple(
        (row["ending"], row["english"], frozenset(row["ranks"].split("|"))) for row in data_rows("english_endings.csv")
    )


def english_forms(scientific_name: str, rank: str) -> tuple[str, ...]:
    """English forms of a group's name, lower case, each singular followed by its plural; empty where there are none.

    Every ending in `data/english_endings.csv` that fits name and rank gives its form.
    """
    name = scientific_name.lower()
    if " " in name:
        return ()
    forms: dict[str, None] = {}
    for ending, english, ranks in _endings():
        if rank in ranks and name.endswith(ending) and len(name) > len(ending) + 1:
            singular = name[: -len(ending)] + english
            if singular != name:
                forms |= {singular: None, singular + ("e" if english.endswith("medusa") else "s"): None}
    return tuple(forms)
