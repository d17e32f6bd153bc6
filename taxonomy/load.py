"""A checklist file to a Checklist.

In: a CSV or TSV file (plain or gzip) or a Darwin Core Archive (zip or folder). Out: a Checklist.
Refuses: a file without scientific names or without usable rows (InputError); single bad rows are reported.
"""

from __future__ import annotations

import hashlib
import zlib
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import polars as pl

from earwitness.schemas.problems import InputError, Problem
from earwitness.taxonomy.archive import LARGEST_FILE, read_archive
from earwitness.taxonomy.checklist import COLUMNS, Checklist
from earwitness.taxonomy.columns import RANKS, TERMS, Table, read_table
from earwitness.taxonomy.names import PLAIN_NAME, PLAIN_NAME_WITH_AUTHOR, not_plain, parse_name
from earwitness.taxonomy.resolve import (
    NONE,
    RowProblem,
    Rows,
    accepted_rows,
    homonyms,
    inherited,
    parents_by_rank,
    rows_of,
    without_loops,
)

_ENGLISH = ("en", "eng", "english")
"""ISO 639-1 and 639-3 codes and the plain word; the narration is English, so other languages are left out."""

_GZIP, _ZIP = b"\x1f\x8b", b"PK\x03\x04"


def load_checklist(path: str | Path, *, columns: Mapping[str, str] | None = None) -> Checklist:
    """Load a checklist.

    Args:
        path: a delimited file with a header line (CSV, TSV, ";", "|"; may be gzip), or a Darwin Core Archive.
        columns: {a column of the file (of an archive: its term's URI): the Darwin Core term it holds}.
            Terms are recognised in any case, with `dwc:` or as a full URI; data/columns.csv has more.

    A list without taxonID gets IDs made from its names ("name:Lophelia pertusa"), the same on every load.

    Raises:
        InputError: no such file, no text, no column of scientific names, no usable row.
    """
    place = Path(path)
    table, vernaculars, sha256 = _read(place, str(path), columns)
    problems = list(table.problems)
    frame = _tidy(table.frame).with_row_index("line_row")
    blank = frame["scientificName"].is_null()
    for row in frame.filter(blank)["line_row"]:
        problems.append(table.problem(row, "no scientific name", "a name in scientificName"))
    frame = _with_canonical_names(frame.filter(~blank), table, problems)
    frame = _with_ids(frame, table, problems)
    if vernaculars is not None:
        frame = _with_vernaculars(frame, vernaculars, table, problems)
    frame = _without_duplicates(frame, table, problems)
    if frame.is_empty():
        raise InputError(Problem(str(path), 0, "no row can be used", "at least one row with a scientific name"))
    frame, accepted, parents = _resolved(frame, table, problems)
    return Checklist(list_name(place), str(path), sha256, frame.select(COLUMNS), accepted, parents, tuple(problems))


def list_name(path: Path) -> str:
    """A checklist's name: that of its file without the endings, or of its folder."""
    name = path.resolve().name
    return Path(name.removesuffix(".gz")).stem if path.is_file() else name


def _read(path: Path, file: str, columns: Mapping[str, str] | None) -> tuple[Table, Table | None, str]:
    """The core table, the table of vernacular names if there is one apart, and the hash."""
    try:
        data = b"" if path.is_dir() else path.read_bytes()
        if path.is_dir() or data.startswith(_ZIP):
            archive = read_archive(path, columns)
            return archive.core, archive.vernaculars, archive.sha256
    except OSError as error:
        reason = f"cannot be read: {error.strerror or error}"
        raise InputError(Problem(file, 0, reason, "a readable checklist file")) from None
    text = _unzipped(data, file) if data.startswith(_GZIP) else data
    return read_table(text, file, columns), None, hashlib.sha256(data).hexdigest()


def _unzipped(data: bytes, file: str) -> bytes:
    """Every member of a gzip file, refusing what unpacks without end."""
    parts, size = [], 0
    while data.startswith(_GZIP):
        member = zlib.decompressobj(wbits=31)
        try:
            parts.append(member.decompress(data, LARGEST_FILE - size))
        except zlib.error as error:
            raise InputError(Problem(file, 0, f"the gzip is damaged ({error})", "a whole file")) from None
        size += len(parts[-1])
        if not member.eof:
            why = "is too large" if size >= LARGEST_FILE else "ends too early"
            raise InputError(Problem(file, 0, f"the gzip {why}", f"a whole file of up to {LARGEST_FILE} bytes"))
        data = member.unused_data
    return b"".join(parts)


def _tidy(frame: pl.DataFrame) -> pl.DataFrame:
    """All terms as columns; blanks and control characters folded, empty cells null, ranks in lower case."""
    present = frame.columns
    folded = [pl.col(name).str.replace_all(r"[\s\p{Cc}]+", " ").str.strip_chars() for name in present]
    frame = frame.with_columns(folded)
    frame = frame.with_columns(
        pl.when(pl.col(name).str.len_bytes() > 0).then(pl.col(name)).alias(name) for name in present
    )
    frame = frame.with_columns(pl.lit(None, pl.String).alias(term) for term in TERMS if term not in present)
    return frame.with_columns(pl.col("taxonRank").str.to_lowercase())


def _canonical(names: pl.Series, authors: pl.Series) -> pl.DataFrame:
    """Columns canonical, author and formal: False for informal and qualified names, which stay as written.

    Two expressions over the whole column settle nearly all; the parser reads the few others one by one.
    """
    name, author = pl.col("name"), pl.col("author")
    frame = pl.DataFrame({"name": names, "author": authors})
    ends = author.is_not_null() & name.str.ends_with(pl.concat_str(pl.lit(" "), author))
    length = name.str.len_chars().cast(pl.Int64) - author.str.len_chars() - 1
    frame = frame.with_columns(pl.when(ends).then(name.str.head(length)).otherwise(name))
    groups = name.str.extract_groups(PLAIN_NAME_WITH_AUTHOR)
    frame = frame.with_columns(groups.struct[0].alias("split"), groups.struct[1].alias("split_author"))
    plain = pl.coalesce("split", pl.when(name.str.contains(PLAIN_NAME)).then(name))
    settled = ~plain.str.contains(not_plain())
    frame = frame.with_columns(
        pl.when(settled).then(plain).alias("plain"),
        pl.when(settled).then("split_author").alias("split_author"),
    )
    odd = frame.filter(pl.col("plain").is_null() & name.is_not_null())["name"].unique(maintain_order=True)
    rows = []
    for text in odd:
        parsed = parse_name(text)
        formal = parsed.parsed and not parsed.qualifier and not parsed.abbreviated_genus
        rows.append((text, parsed.canonical, parsed.authorship, True) if formal else (text, text, "", False))
    schema = {"name": pl.String, "read": pl.String, "read_author": pl.String, "formal": pl.Boolean}
    read = pl.DataFrame(rows, schema=schema, orient="row")
    frame = frame.join(read, on="name", how="left", maintain_order="left")
    found = pl.coalesce("split_author", pl.when(pl.col("read_author") != "").then("read_author"))
    return frame.select(
        pl.coalesce("plain", "read").alias("canonical"),
        pl.coalesce(author, found).alias("author"),
        pl.col("formal").fill_null(True),
    )


def _with_canonical_names(frame: pl.DataFrame, table: Table, problems: list[Problem]) -> pl.DataFrame:
    """scientificName without authorship, authorship in its own column."""
    read = _canonical(frame["scientificName"], frame["scientificNameAuthorship"])
    informal = read.filter(~pl.col("formal"))["canonical"]
    if len(informal):
        reason = f"{len(informal)} names are no plain scientific names (such as {informal[0]!r}); kept as written"
        problems.append(Problem(table.files[0], 0, reason, "", "noted"))
    return frame.with_columns(
        read["canonical"].alias("scientificName"), read["author"].alias("scientificNameAuthorship")
    )


def _with_ids(frame: pl.DataFrame, table: Table, problems: list[Problem]) -> pl.DataFrame:
    """taxonID where there is none: the archive's id column, else made from the name."""
    if "id" in frame.columns:
        frame = frame.with_columns(pl.coalesce("taxonID", "id").alias("taxonID"))
    count = frame["taxonID"].null_count()
    if not count:
        return frame
    reason = f"{count} rows have no taxonID; made from their names (name:Genus species)"
    problems.append(Problem(table.files[0], 0, reason, "a column taxonID", "mended"))
    # Rows that say the same get the same ID and become one taxon; a homonym placed elsewhere is numbered.
    said = ("scientificNameAuthorship", "taxonRank", "taxonomicStatus", *RANKS)
    whole = pl.concat_str([pl.col(column).fill_null("") for column in said], separator="\t")
    frame = frame.with_columns(whole.alias("said"))
    meanings = frame.filter(pl.col("taxonID").is_null()).select("scientificName", "said")
    meanings = meanings.unique(maintain_order=True)
    number = pl.int_range(pl.len()).over("scientificName")
    suffix = pl.when(number > 0).then(pl.concat_str(pl.lit("#"), number + 1)).otherwise(pl.lit(""))
    made = pl.concat_str(pl.lit("name:"), "scientificName", suffix)
    frame = frame.join(
        meanings.with_columns(made.alias("made")),
        on=["scientificName", "said"],
        how="left",
        maintain_order="left",
    )
    return frame.with_columns(pl.coalesce("taxonID", "made").alias("taxonID"))


def _with_vernaculars(frame: pl.DataFrame, spoken: Table, table: Table, problems: list[Problem]) -> pl.DataFrame:
    """The English names of an archive's vernacular extension, added to vernacularName."""
    problems += spoken.problems
    names = _tidy(spoken.frame).with_row_index("row")
    code = pl.col("language").str.to_lowercase().str.extract(r"^([a-z]+)", 1)
    english = names.filter(pl.col("language").is_null() | code.is_in(_ENGLISH))
    if len(english) < len(names):
        reason = f"{len(names) - len(english)} vernacular names in other languages than English are left out"
        problems.append(Problem(spoken.files[0], 0, reason, "language en, eng or none"))
    for row in english.filter(pl.col("vernacularName").is_null())["row"]:
        problems.append(spoken.problem(row, "no vernacular name", "a name in vernacularName"))
    english = english.drop_nulls("vernacularName")
    for row, core in english.join(frame, left_on="coreid", right_on="id", how="anti")["row", "coreid"].iter_rows():
        problems.append(spoken.problem(row, f"no taxon has the id {core!r}", f"an id of {table.files[0]}"))
    joined = english.group_by("coreid").agg(pl.col("vernacularName").str.join("|").alias("spoken"))
    frame = frame.join(joined, left_on="id", right_on="coreid", how="left", maintain_order="left")
    both = pl.concat_str("vernacularName", "spoken", separator="|", ignore_nulls=True)
    return frame.with_columns(both.alias("vernacularName"))


def _without_duplicates(frame: pl.DataFrame, table: Table, problems: list[Problem]) -> pl.DataFrame:
    """Unique taxonIDs: a repeat of the same name is joined to the first row, another name gets its own ID."""
    repeated = frame.filter(pl.col("taxonID").is_duplicated())
    if repeated.is_empty():
        return frame
    taken = set(frame["taxonID"].to_list())
    first: dict[str, tuple[int, str]] = {}
    renamed, dropped, spoken = {}, [], {}
    wanted = repeated.select("line_row", "taxonID", "scientificName", "vernacularName")
    for row, taxon_id, name, vernacular in wanted.iter_rows():
        if taxon_id not in first:
            first[taxon_id] = (row, name)
            spoken[row] = [vernacular or ""]
            continue
        earlier, earlier_name = first[taxon_id]
        reason = f"taxonID {taxon_id!r} stands on line {table.lines[earlier]} already"
        if name.casefold() == earlier_name.casefold():
            reason += " with this name; its vernacular names are joined to that row"
            dropped.append(row)
            spoken[earlier].append(vernacular or "")
        else:
            number = 2
            while f"{taxon_id}#{number}" in taken:
                number += 1
            renamed[row] = f"{taxon_id}#{number}"
            taken.add(renamed[row])
            reason += f" for {earlier_name!r}; this row is {renamed[row]!r} here"
        problems.append(table.problem(row, reason, "one row a taxonID", "mended"))
    together = {row: "|".join(names) for row, names in spoken.items()}
    line = pl.col("line_row")
    frame = frame.filter(~line.is_in(dropped)).with_columns(
        line.replace_strict(renamed, default=None, return_dtype=pl.String).alias("renamed"),
        line.replace_strict(together, default=None, return_dtype=pl.String).alias("joined"),
    )
    return frame.with_columns(
        pl.coalesce("renamed", "taxonID").alias("taxonID"),
        pl.coalesce("joined", "vernacularName").alias("vernacularName"),
    )


def _resolved(frame: pl.DataFrame, table: Table, problems: list[Problem]) -> tuple[pl.DataFrame, Rows, Rows]:
    """The finished columns, and the accepted and the parent row of each row."""
    ids, names = frame["taxonID"], frame["scientificName"]
    nobody = pl.Series([None] * len(frame), dtype=pl.String)
    accepted_names = _canonical(frame["acceptedNameUsage"], nobody)["canonical"]
    accepted, odd = accepted_rows(ids, frame["acceptedNameUsageID"], accepted_names, names, frame["taxonomicStatus"])
    own = np.arange(len(frame), dtype=np.int32)
    is_accepted = accepted == own
    parents = rows_of(frame["parentNameUsageID"], ids)
    outside = frame["parentNameUsageID"].is_not_null().to_numpy() & (parents == NONE) & is_accepted
    by_name = rows_of(_canonical(frame["parentNameUsage"], nobody)["canonical"], names)
    parents = np.where(parents == NONE, by_name, parents)
    parents = np.where(parents == NONE, NONE, accepted[parents]).astype(np.int32)
    alone = np.flatnonzero((parents == NONE) & is_accepted).astype(np.int32)
    parents[alone] = parents_by_rank(frame, alone, is_accepted)
    parents, cut = without_loops(parents)
    for row in cut:
        reason = f"the parents of {names[row]!r} lead round in a loop; its parent is left out"
        odd.append(RowProblem(row, reason, "a chain that ends at the top", "mended"))
    odd += homonyms(names, accepted)
    lines = frame["line_row"].to_numpy()
    problems += [table.problem(lines[o.row], o.reason, o.expected, o.severity) for o in odd]
    if outside.any():
        example = frame["parentNameUsageID"][int(np.argmax(outside))]
        reason = f"{outside.sum()} rows have a parent that is not in the list (such as {example!r})"
        reason += "; the rank columns place them where they can"
        problems.append(Problem(table.files[0], 0, reason, "", "noted"))
    parents = np.where(is_accepted, parents, parents[accepted]).astype(np.int32)
    frame = _with_ranks(frame, np.where(is_accepted, parents, accepted).astype(np.int32), is_accepted)
    found = pl.Series(ids.gather(np.where(parents == NONE, 0, parents)))
    is_cut = np.isin(own, cut)
    split = pl.col("vernacularName").fill_null("").str.split("|")
    word = pl.element().str.strip_chars()
    frame = frame.with_columns(
        ids.gather(accepted).alias("acceptedNameUsageID"),
        pl.when(pl.Series(is_accepted & (parents != NONE)))
        .then(found)
        .when(~pl.Series(is_cut) & (pl.col("parentNameUsageID") != pl.col("taxonID")))
        .then("parentNameUsageID")
        .alias("parentNameUsageID"),
        split.list.eval(word.filter(word != "")).list.unique(maintain_order=True).alias("vernacularNames"),
    )
    return frame, accepted, parents


def _with_ranks(frame: pl.DataFrame, above: Rows, is_accepted: np.ndarray) -> pl.DataFrame:
    """Empty rank columns filled: the row's own rank, a species' genus from its name, the rest from above."""
    accepted, name = pl.Series(is_accepted), pl.col("scientificName")
    first_of_several = name.str.extract(r"^(\S+) ", 1)
    filled = []
    for rank in RANKS:
        own: pl.Expr = pl.when((pl.col("taxonRank") == rank) & accepted).then(name)
        if rank == "genus":
            own = pl.coalesce(own, pl.when(accepted & name.str.contains(PLAIN_NAME)).then(first_of_several))
        values = frame.select(pl.coalesce(rank, own).alias(rank)).to_series()
        sources = inherited(values.is_not_null().to_numpy(), above)
        filled.append(values.gather(pl.Series(sources).replace(-1, None)))
    return frame.with_columns(filled)
