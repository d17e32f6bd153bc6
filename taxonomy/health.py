"""How well a checklist can be heard: a Checklist comes in, counts and findings with their remedies go out.

Spoken captions have only sounds: names that sound alike, are everyday words or are never said cannot be told from them.
Refuses nothing; a finding that does not occur is counted as 0.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np
import polars as pl
from wordfreq import get_frequency_dict, zipf_frequency

from earwitness.schemas.problems import Problem
from earwitness.taxonomy.checklist import Checklist
from earwitness.taxonomy.english_forms import english_forms
from earwitness.taxonomy.entries import LONGEST_NAME
from earwitness.taxonomy.fold import fold, letters_of, spoken_key

COMMON_WORD = 2.8
"""Zipf frequency (log10 per billion words, package wordfreq) from which a word is everyday English: a genus that is
such a word or a person's name, too (Doris, Lens, Automate), is not taken from running text on its own."""
FEWEST_LETTERS = 4
"""Names of fewer letters are as likely a scrap of another word; own choice, no source."""
_NEVER_SAID = r"[^\p{Latin}\p{M} .'’‘ʼ\-]"
"""Everything but letters, blanks, full stops, apostrophes and hyphens."""

_TEXTS = {
    "withoutRank": (
        "taxa without a rank",
        "Fill in taxonRank: drafts are judged and counted by rank, and English forms of group names are made by it.",
    ),
    "withoutParent": (
        "taxa without a parent",
        "Right for the highest taxa. The others: fill in parentNameUsageID or the rank columns, so that a name only "
        "half heard can be drafted as the group above it.",
    ),
    "orphans": (
        "taxa whose parent is not in the list",
        "Add the parents as rows, or correct parentNameUsageID.",
    ),
    "genusNotListed": (
        "species whose genus is no row of its own",
        "Add the genera: people say a genus alone more often than its species, and it cannot be drafted without a row.",
    ),
    "homonyms": (
        "names that stand for several taxa",
        "No caption tells them apart. Remove those that do not live where you dive, or leave it to a taxonomist.",
    ),
    "sharedVernaculars": (
        "vernaculars that several taxa share",
        "Drafted as the narrowest group that holds them all, where that is narrow enough. Keep each on "
        "the taxon that people mean by it.",
    ),
    "soundAlike": (
        "names that cannot be told apart by ear",
        "Drafts hold the others as alternatives: check them against the video. Remove names that do not live where "
        "you dive; where a genus is given, it is all that can be heard.",
    ),
    "everydayNames": (
        "scientific names that are everyday English words",
        "Heard alone they are never taken for a name. Give the taxon a vernacular that people do use.",
    ),
    "everydayVernaculars": (
        "one-word vernaculars in everyday use",
        "Taken for the animal whenever they are said. Remove those that people mostly use for something else.",
    ),
    "tooShort": (
        f"names of fewer than {FEWEST_LETTERS} letters",
        "Only found where they came through letter for letter. Give the taxon a longer vernacular.",
    ),
    "tooLong": (
        f"names of more than {LONGEST_NAME} words",
        "Not looked for. Add what people say in their place as a vernacular.",
    ),
    "neverSaid": (
        "names with signs that no one says",
        "Write the name without digits, brackets and signs, in Latin letters, as people say it.",
    ),
    "onLoading": (
        "problems met when loading",
        "Each names file, line and what was expected: correct the list there.",
    ),
}
"""Title and remedy of each kind of finding, by code."""


@dataclass(frozen=True, slots=True)
class RankCount:
    """Names of taxa of one rank ("" for none): accepted, synonyms, vernaculars."""

    rank: str
    accepted: int
    synonyms: int
    vernaculars: int


@dataclass(frozen=True, slots=True)
class Item:
    """One case of a finding: the names concerned, and what tells more about them."""

    names: tuple[str, ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class Finding:
    """One kind of thing worth a look.

    Args:
        code: short name for machines.
        title: what it is, for people.
        count: how often it occurs.
        of: of how many, 0 where that says nothing.
        remedy: what to do about it.
        items: the cases, worst first.
    """

    code: str
    title: str
    count: int
    of: int
    remedy: str
    items: tuple[Item, ...]


@dataclass(frozen=True, slots=True)
class Health:
    """What a checklist holds and how it can be heard.

    Args:
        name, path, sha256: the checklist's.
        kinds: how many names of each kind: accepted, synonym, vernacular, and the English forms made from group names.
        ranks: the same by rank, most names first.
        findings: see Finding; always the same kinds in the same order.
    """

    name: str
    path: str
    sha256: str
    kinds: dict[str, int]
    ranks: tuple[RankCount, ...]
    findings: tuple[Finding, ...]

    def to_json(self) -> dict[str, Any]:
        """All of it in plain lists and dictionaries."""
        return asdict(self)


def inspect(checklist: Checklist, problems: Sequence[Problem] | None = None) -> Health:
    """Look a checklist over.

    Args:
        checklist: the list.
        problems: what to report as met when loading; default: the checklist's own.
    """
    taxa = _taxa(checklist)
    names = _names(taxa)
    accepted = taxa.filter("is_accepted")
    vernacular = pl.col("kind") == "vernacular"
    alone, claims = pl.col("parent") < 0, pl.col("parent_id") != ""
    findings = (
        _listed("withoutRank", accepted.filter(rank=""), accepted.height, pl.lit("")),
        _listed("withoutParent", accepted.filter(alone & ~claims), accepted.height),
        _listed("orphans", accepted.filter(alone & claims), accepted.height, pl.format("parent {}", "parent_id")),
        _genus_not_listed(taxa),
        _homonyms(taxa),
        _shared_vernaculars(checklist, names),
        _sound_alike(names),
        _everyday("everydayNames", names.filter(~vernacular)),
        _everyday("everydayVernaculars", names.filter(vernacular)),
        _listed("tooShort", names.filter(pl.col("letters").is_between(1, FEWEST_LETTERS - 1)), names.height),
        _listed("tooLong", names.filter(pl.col("key").str.count_matches(" ") >= LONGEST_NAME), names.height),
        _listed("neverSaid", names.filter(pl.col("name").str.contains(_NEVER_SAID)), names.height,
                pl.col("name").str.extract_all(_NEVER_SAID).list.unique(maintain_order=True).list.join(" ")),
        _finding("onLoading", [Item((), str(p)) for p in (checklist.problems if problems is None else problems)]),
    )  # fmt: skip
    groups = accepted.filter(~pl.col("name").str.contains(" ", literal=True)).select("name", "rank")
    english = sum(len(english_forms(name, rank)) for name, rank in groups.iter_rows())
    kinds = {kind: names.filter(kind=kind).height for kind in ("accepted", "synonym", "vernacular")}
    return Health(
        checklist.name, checklist.path, checklist.sha256, kinds | {"english": english}, _ranks(names), findings
    )


def _taxa(checklist: Checklist) -> pl.DataFrame:
    """One row a taxon: row, name, rank, id, parent_id, genus, family, vernaculars, accepted, parent, is_accepted."""
    own = np.arange(len(checklist), dtype=np.int32)
    texts = {"name": "scientificName", "rank": "taxonRank", "id": "taxonID", "parent_id": "parentNameUsageID"}
    texts |= {"genus": "genus", "family": "family"}
    return checklist.taxa.select(
        *(pl.col(column).fill_null("").alias(short) for short, column in texts.items()),
        pl.col("vernacularNames").alias("vernaculars"),
    ).with_columns(
        row=pl.Series(own),
        accepted=pl.Series(checklist.accepted_rows),
        parent=pl.Series(checklist.parent_rows),
        is_accepted=pl.Series(checklist.accepted_rows == own),
    )


def _names(taxa: pl.DataFrame) -> pl.DataFrame:
    """One row a name: name, rank, genus, family, accepted, kind, its spoken key, its number of letters."""
    kind = pl.when("is_accepted").then(pl.lit("accepted")).otherwise(pl.lit("synonym")).alias("kind")
    columns = ("rank", "genus", "family", "accepted")
    spoken = taxa.explode("vernaculars").drop_nulls("vernaculars")
    names = pl.concat(
        [
            taxa.select("name", *columns, kind),
            spoken.select(pl.col("vernaculars").alias("name"), *columns, pl.lit("vernacular").alias("kind")),
        ]
    )
    keys = pl.Series("key", spoken_key("\n".join(["x", *names["name"], "x"])).split("\n")[1:-1], dtype=pl.String)
    names = names.with_columns(keys.str.strip_chars(" "))
    return names.with_columns(letters=pl.col("key").str.replace_all(" ", "").str.len_chars())


def _ranks(names: pl.DataFrame) -> tuple[RankCount, ...]:
    counts = names.group_by("rank").agg(
        *((pl.col("kind") == kind).sum().alias(kind) for kind in ("accepted", "synonym", "vernacular"))
    )
    return tuple(RankCount(*row) for row in counts.sort("accepted", "rank", descending=[True, False]).iter_rows())


def _finding(code: str, items: Iterable[Item], of: int = 0, count: int | None = None) -> Finding:
    listed = tuple(items)
    title, remedy = _TEXTS[code]
    return Finding(code, title, len(listed) if count is None else count, of, remedy, listed)


def _listed(code: str, rows: pl.DataFrame, of: int, note: pl.Expr | None = None) -> Finding:
    """A finding with a case a row: its name and a note, by default its rank."""
    told = rows.select("name", (pl.col("rank") if note is None else note).alias("note"))
    return _finding(code, (Item((name,), text) for name, text in told.iter_rows()), of)


def _genus_not_listed(taxa: pl.DataFrame) -> Finding:
    """A row without a rank counts as a species where its name has two words."""
    two_words = pl.col("name").str.contains(r"^\S+ \S+$")
    binomial = (pl.col("rank") == "species") | ((pl.col("rank") == "") & two_words)
    species = taxa.filter("is_accepted", binomial).with_columns(first=pl.col("name").str.extract(r"^(\S+)"))
    alone = species.filter(~pl.col("first").str.to_lowercase().is_in(taxa["name"].str.to_lowercase().implode()))
    genera = alone.group_by("first").len().sort("len", "first", descending=[True, False])
    items = (Item((genus,), f"{number} species") for genus, number in genera.iter_rows())
    return _finding("genusNotListed", items, species.height, alone.height)


def _homonyms(taxa: pl.DataFrame) -> Finding:
    which = pl.format("{} {}", pl.when(pl.col("rank") == "").then(pl.lit("taxon")).otherwise("rank"), "id")
    folded = taxa.with_columns(folded=pl.col("name").str.to_lowercase(), which=which)
    groups = folded.group_by("folded", maintain_order=True).agg(
        pl.col("name").first(), pl.col("which"), pl.col("accepted").n_unique()
    )
    several = groups.filter(pl.col("accepted") > 1)
    items = (Item((name,), ", ".join(which)) for name, which in several.select("name", "which").iter_rows())
    return _finding("homonyms", items, groups.height)


def _shared_vernaculars(checklist: Checklist, names: pl.DataFrame) -> Finding:
    """Vernaculars that are a name of another taxon too, be it its vernacular or its scientific name."""
    vernacular = pl.col("kind") == "vernacular"
    groups = (
        names.filter(pl.col("key") != "")
        .group_by("key", maintain_order=True)
        .agg(pl.col("name").filter(vernacular).first(), pl.col("accepted").unique(maintain_order=True))
        .drop_nulls("name")
    )
    several = groups.filter(pl.col("accepted").list.len() > 1).sort(
        pl.col("accepted").list.len(), descending=True, maintain_order=True
    )
    items = []
    for name, rows in several.select("name", "accepted").iter_rows():
        nested = any(all(checklist.is_same_or_ancestor(row, other) for other in rows) for row in rows)
        note = ", ".join(checklist.taxon(row).scientific_name for row in rows)
        items.append(Item((name,), note + (" (one holds the others)" if nested else "")))
    return _finding("sharedVernaculars", items, groups.height)


def _sound_alike(names: pl.DataFrame) -> Finding:
    """Names of different taxa that are spelt differently and said alike; those of no common genus first."""
    said = names.filter(pl.col("key") != "")
    sounds = fold(letters_of("\n".join(said["key"]))).split("\n") if said.height else []
    groups = (
        said.with_columns(sound=pl.Series(sounds, dtype=pl.String))
        .group_by("sound", maintain_order=True)
        .agg(
            pl.col("accepted").n_unique().alias("taxa"),
            pl.col("name").filter(pl.col("key").is_first_distinct()),
            *(pl.col(rank).unique(maintain_order=True) for rank in ("genus", "family")),
        )
        .filter((pl.col("taxa") > 1) & (pl.col("name").list.len() > 1))
    )
    items = []
    for sound_names, genera, families in groups.select("name", "genus", "family").iter_rows():
        shared = [f"{rank} {of[0]}" for rank, of in (("genus", genera), ("family", families)) if len(of) == 1 and of[0]]
        items.append(Item(tuple(sound_names), shared[0] if shared else "of no common family"))
    items.sort(key=lambda item: (item.note.startswith("genus"), -len(item.names)))
    return _finding("soundAlike", items, said["key"].n_unique())


def _everyday(code: str, names: pl.DataFrame) -> Finding:
    """Names of one word with a Zipf frequency (wordfreq: the base-10 logarithm of uses in a billion words) too high."""
    # The list holds frequencies per word; the bound is lowered a little, because Zipf frequencies are rounded.
    least = 10 ** (COMMON_WORD - 9.01)
    usual = [word for word, frequency in get_frequency_dict("en").items() if frequency > least]
    found = names.filter(pl.col("key").is_in(usual)).unique("key", maintain_order=True).select("name", "key")
    ranked = sorted(((zipf_frequency(key, "en"), name) for name, key in found.iter_rows()), key=lambda f: (-f[0], f[1]))
    items = (Item((name,), f"Zipf {zipf:.1f}") for zipf, name in ranked if zipf >= COMMON_WORD)
    return _finding(code, items, names.filter(pl.col("key") != "")["key"].n_unique())
