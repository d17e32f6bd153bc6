"""Darwin Core Archives, against python-dwca-reader and the forms of the Darwin Core text guide.

The guide: TDWG, http://rs.tdwg.org/dwc/terms/guides/text/ (version of 2023-09-13), named beside its checks.
"""

from __future__ import annotations

import csv
import hashlib
import io
import zipfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from dwca.darwincore.utils import qualname
from dwca.read import DwCAReader

from earwitness.schemas.problems import InputError
from earwitness.taxonomy.load import load_checklist

DWC = "http://rs.tdwg.org/dwc/terms/"
TERMS = ("taxonID", "parentNameUsageID", "scientificName", "taxonRank", "taxonRemarks")
TAXA = (
    ("t1", "", "Cnidaria", "phylum", "jellies, corals"),
    ("t2", "t1", "Actiniaria", "order", 'called "anemones"'),
    ("t3", "t2", "Actinia equina (Linnaeus, 1758)", "species", "caf\u00e9"),
    ("t4", "t2", "Bolocera tuediae", "species", ""),
)
SPOKEN = (
    ("t3", "beadlet anemone", "en"),
    ("t3", "Pferdeaktinie", "de"),
    ("t2", "sea anemone", ""),
    ("t3", "beadlet", "ENG"),
)


@dataclass(frozen=True)
class Writing:
    """How the test writes the data files, and what meta.xml says of it (attribute text as in the XML)."""

    separator: str = "\t"
    newline: str = "\n"
    quote: str = ""
    encoding: str = "UTF-8"
    header_lines: int = 1
    attributes: str = r'fieldsTerminatedBy="\t" linesTerminatedBy="\n" fieldsEnclosedBy=""'

    def table(self, header: tuple[str, ...], rows: tuple[tuple[str, ...], ...]) -> bytes:
        out = io.StringIO()
        if self.quote:
            form = csv.writer(out, delimiter=self.separator, quotechar=self.quote, lineterminator=self.newline)
            form.writerows([header] * self.header_lines + list(rows))
        else:
            lines = [self.separator.join(row) for row in [header] * self.header_lines + list(rows)]
            out.write("".join(line + self.newline for line in lines))
        return out.getvalue().encode(self.encoding)


def fields(terms: tuple[str, ...]) -> str:
    return "".join(f'<field index="{i}" term="{DWC}{term}"/>' for i, term in enumerate(terms))


def meta(writing: Writing, core_fields: str = fields(TERMS), extension: bool = True) -> str:
    layout = f'encoding="{writing.encoding}" ignoreHeaderLines="{writing.header_lines}" {writing.attributes}'
    spoken = (
        f'<extension rowType="http://rs.gbif.org/terms/1.0/VernacularName" {layout}>'
        f'<files><location>vernacular.txt</location></files><coreid index="0"/>'
        f'<field index="1" term="{DWC}vernacularName"/>'
        '<field index="2" term="http://purl.org/dc/terms/language"/></extension>'
    )
    return (
        '<?xml version="1.0" encoding="UTF-8"?><archive xmlns="http://rs.tdwg.org/dwc/text/">'
        f'<core rowType="{DWC}Taxon" {layout}><files><location>taxa.txt</location></files><id index="0"/>'
        f"{core_fields}</core>{spoken if extension else ''}</archive>"
    )


def parts(writing: Writing) -> dict[str, bytes]:
    return {
        "meta.xml": meta(writing).encode(),
        "taxa.txt": writing.table(TERMS, TAXA),
        "vernacular.txt": writing.table(("id", "name", "language"), SPOKEN),
    }


def as_folder(place: Path, files: Mapping[str, bytes]) -> Path:
    folder = place / "sea_list"
    for name, data in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)
    return folder


def as_zip(place: Path, files: Mapping[str, bytes]) -> Path:
    path = place / "sea_list.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            archive.writestr(name, data)
    return path


QUOTED = Writing(",", quote='"', attributes=r"""fieldsTerminatedBy="," linesTerminatedBy="\n" fieldsEnclosedBy='"'""")
WRITINGS = {
    "tab": Writing(),
    "csv": QUOTED,
    "crlf": replace(QUOTED, newline="\r\n", attributes=QUOTED.attributes.replace(r"\n", r"\r\n")),
    "said lf, is crlf": replace(QUOTED, newline="\r\n"),
    "semicolon, apostrophe": Writing(
        ";", quote="'", attributes=r"""fieldsTerminatedBy=";" linesTerminatedBy="\n" fieldsEnclosedBy="'" """
    ),
    "latin-1": replace(QUOTED, encoding="ISO-8859-1"),
    "no header": replace(QUOTED, header_lines=0),
    "two header lines": replace(QUOTED, header_lines=2),
    "entity newline": replace(QUOTED, attributes=QUOTED.attributes.replace(r"\n", "&#10;")),
}


@pytest.mark.parametrize("pack", [as_folder, as_zip])
@pytest.mark.parametrize("writing", WRITINGS.values(), ids=WRITINGS)
def test_row_for_row_as_dwca_reader(tmp_path: Path, writing: Writing, pack: Callable[..., Path]) -> None:
    path = pack(tmp_path, parts(writing))
    with DwCAReader(str(path)) as reader:
        rows = list(reader)
        reference = [{term: row.data[qualname(term)] for term in TERMS} for row in rows]
        spoken = [
            [
                extension.data[qualname("vernacularName")]
                for extension in row.extensions
                if extension.data["http://purl.org/dc/terms/language"].lower() in ("en", "eng", "")
            ]
            for row in rows
        ]
    taxa = load_checklist(path).taxa
    assert len(reference) == len(TAXA)
    assert taxa["taxonID"].to_list() == [row["taxonID"] for row in reference]
    assert [cell or "" for cell in taxa["parentNameUsageID"]] == [row["parentNameUsageID"] for row in reference]
    assert taxa["taxonRank"].to_list() == [row["taxonRank"] for row in reference]
    whole = [
        f"{name} {author}" if author else name
        for name, author in taxa.select("scientificName", "scientificNameAuthorship").iter_rows()
    ]
    assert whole == [row["scientificName"] for row in reference]
    assert taxa["vernacularNames"].to_list() == spoken


def test_vernacular_rows_that_are_left_out_are_counted(tmp_path: Path) -> None:
    files = parts(Writing())
    files["vernacular.txt"] += b"t9\tlost anemone\ten\nt1\t\ten\n"
    checklist = load_checklist(as_zip(tmp_path, files))
    found = {(Path(problem.file).name, problem.line): problem.reason for problem in checklist.problems}
    assert found[("vernacular.txt", 6)] == "no taxon has the id 't9'"
    assert found[("vernacular.txt", 7)] == "no vernacular name"
    assert found[("vernacular.txt", 0)].startswith("1 vernacular names in other languages")


def test_bad_lines_of_the_extension_are_reported(tmp_path: Path) -> None:
    files = parts(QUOTED)
    files["vernacular.txt"] += b"t1,jellies,en,and,more\n"
    checklist = load_checklist(as_zip(tmp_path, files))
    assert [(p.line, p.reason) for p in checklist.problems if p.line] == [(6, "5 cells in this line")]


def test_two_vernacular_extensions_of_unlike_fields(tmp_path: Path) -> None:
    files = parts(Writing())
    start, end = files["meta.xml"].index(b"<extension"), files["meta.xml"].index(b"</archive>")
    second = files["meta.xml"][start:end].replace(b"vernacular.txt", b"more.txt")
    second = second.replace(b'<field index="2" term="http://purl.org/dc/terms/language"/>', b"")
    files["meta.xml"] = files["meta.xml"].replace(b"</archive>", second + b"</archive>")
    files["more.txt"] = b"id\tname\nt4\tdeeplet\n"
    spoken = load_checklist(as_zip(tmp_path, files)).taxa["vernacularNames"].to_list()
    assert spoken == [[], ["sea anemone"], ["beadlet anemone", "beadlet"], ["deeplet"]]


def test_a_mapping_is_for_the_core(tmp_path: Path) -> None:
    files = parts(Writing())
    uri = "http://example.org/terms/fullName"
    files["meta.xml"] = files["meta.xml"].replace(f"{DWC}scientificName".encode(), uri.encode())
    path = as_zip(tmp_path, files)
    assert load_checklist(path, columns={uri: "scientificName"}).find("Bolocera tuediae") == (3,)
    with pytest.raises(InputError, match="no column holds scientific names"):
        load_checklist(path)


def test_hash_of_zip_and_folder(tmp_path: Path) -> None:
    path = as_zip(tmp_path, parts(QUOTED))
    assert load_checklist(path).sha256 == hashlib.sha256(path.read_bytes()).hexdigest()
    folder = as_folder(tmp_path, {**parts(QUOTED), "unused.txt": b"1"})
    once = load_checklist(folder)
    (folder / "unused.txt").write_bytes(b"2")
    assert load_checklist(folder).sha256 == once.sha256
    (folder / "vernacular.txt").write_bytes(b"")
    assert load_checklist(folder).sha256 != once.sha256
    assert once.name == "sea_list"


def test_the_guides_defaults_hold_where_attributes_are_missing(tmp_path: Path) -> None:
    """Section 2.2.1: fields end in a comma, rows in a newline, cells in double quotes, UTF-8, no header."""
    bare = meta(QUOTED, extension=False).replace(QUOTED.attributes, "")
    bare = bare.replace('encoding="UTF-8" ignoreHeaderLines="1"', "")
    table = replace(QUOTED, header_lines=0).table(TERMS, TAXA)
    checklist = load_checklist(as_zip(tmp_path, {"meta.xml": bare.encode(), "taxa.txt": table}))
    assert checklist.taxa["taxonID"].to_list() == ["t1", "t2", "t3", "t4"]


def test_defaults_of_fields(tmp_path: Path) -> None:
    """Section 2.4.1: a default fills empty cells, and is a constant where there is no index."""
    core = (
        f'<field index="2" term="{DWC}scientificName"/>'
        f'<field index="1" term="{DWC}family" default="Actiniidae"/>'
        f'<field term="{DWC}kingdom" default="Animalia"/>'
    )
    files = {
        "meta.xml": meta(Writing(), core, extension=False).encode(),
        "taxa.txt": parts(Writing())["taxa.txt"],
    }
    taxa = load_checklist(as_zip(tmp_path, files)).taxa
    assert taxa["kingdom"].to_list() == ["Animalia"] * 4
    assert taxa["family"].to_list() == ["Actiniidae", "t1", "t2", "t2"]
    assert taxa["taxonID"].to_list() == ["t1", "t2", "t3", "t4"]  # no taxonID field: the id column serves


def test_several_files_of_one_core(tmp_path: Path) -> None:
    """Section 2.3: an entity may be made of several files."""
    files = parts(Writing())
    files["meta.xml"] = files["meta.xml"].replace(
        b"<location>taxa.txt</location>", b"<location>taxa.txt</location><location>./more/taxa.txt</location>"
    )
    files["more/taxa.txt"] = b"header\nt5\tt2\tUrticina felina\tspecies\t\nt6\tt2\t\tspecies\t\n"
    checklist = load_checklist(as_zip(tmp_path, files))
    assert checklist.taxa["taxonID"].to_list() == ["t1", "t2", "t3", "t4", "t5"]
    (blank,) = [problem for problem in checklist.problems if "no scientific name" in problem.reason]
    assert (blank.file.endswith("more/taxa.txt"), blank.line) == (True, 3)


def test_whales_example_of_the_guide(tmp_path: Path) -> None:
    """Section 3.1: a Taxon core with extensions that are not read here. The rows are invented."""
    attributes = r'encoding="UTF-8" fieldsTerminatedBy="\t" linesTerminatedBy="\n" ignoreHeaderLines="1"'
    text = f"""<?xml version="1.0" encoding="UTF-8"?>
<archive xmlns="http://rs.tdwg.org/dwc/text/"
    xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" xmlns:xs="http://www.w3.org/2001/XMLSchema"
    xsi:schemaLocation="http://rs.tdwg.org/dwc/text/ http://rs.tdwg.org/dwc/text/tdwg_dwc_text.xsd">
    <core {attributes} rowType="{DWC}Taxon">
        <files><location>whales.txt</location></files>
        <id index="0" />
        <field index="0" term="{DWC}taxonID" /><field index="1" term="{DWC}scientificName" />
    </core>
    <extension {attributes} rowType="http://rs.gbif.org/terms/1.0/Distribution">
        <files><location>distribution.txt</location></files>
        <coreid index="0" /><field index="1" term="{DWC}countryCode" />
    </extension>
</archive>"""
    table = b"id\tname\n1\tPhyseter macrocephalus Linnaeus, 1758\n"
    checklist = load_checklist(as_zip(tmp_path, {"meta.xml": text.encode(), "whales.txt": table}))
    assert checklist.taxon(0).scientific_name == "Physeter macrocephalus"


@pytest.mark.parametrize(
    ("attributes", "separator", "newline"),
    [
        (r'fieldsTerminatedBy="||" linesTerminatedBy="\n" fieldsEnclosedBy=""', "||", "\n"),
        (r'fieldsTerminatedBy="&#167;" linesTerminatedBy="\n" fieldsEnclosedBy=""', "\u00a7", "\n"),
        (r'fieldsTerminatedBy="\t" linesTerminatedBy="~" fieldsEnclosedBy=""', "\t", "~"),
        (r'fieldsTerminatedBy="\t" linesTerminatedBy="\r" fieldsEnclosedBy=""', "\t", "\r"),
        ('fieldsTerminatedBy="\t" linesTerminatedBy="\n" fieldsEnclosedBy=""', " ", "\n"),
    ],
    ids=["two characters", "beyond ASCII", "tilde rows", "cr rows", "control characters raw in the XML"],
)
def test_odd_delimiters(tmp_path: Path, attributes: str, separator: str, newline: str) -> None:
    writing = Writing(separator, newline, attributes=attributes)
    rows = tuple((row[0], "", row[2].split(" ")[0], row[3], "") for row in TAXA)
    files = {"meta.xml": meta(writing, extension=False).encode(), "taxa.txt": writing.table(TERMS, rows)}
    taxa = load_checklist(as_zip(tmp_path, files)).taxa
    assert taxa["scientificName"].to_list() == [row[2] for row in rows]
    assert taxa["taxonRank"].to_list() == [row[3] for row in rows]


def test_a_zip_with_everything_in_one_folder(tmp_path: Path) -> None:
    files = {f"export/{name}": data for name, data in parts(QUOTED).items()}
    assert len(load_checklist(as_zip(tmp_path, files))) == 4


# Refused


@pytest.mark.parametrize(
    "location",
    [
        "../secret.txt",
        "/secret.txt",
        "a/../../secret.txt",
        "http://example.org/taxa.txt",
        "..\\secret.txt",
        "C:taxa.txt",
    ],
)
@pytest.mark.parametrize("pack", [as_folder, as_zip])
def test_nothing_outside_the_archive_is_read(tmp_path: Path, location: str, pack: Callable[..., Path]) -> None:
    files = parts(Writing())
    (tmp_path / "secret.txt").write_bytes(files["taxa.txt"])
    files["meta.xml"] = files["meta.xml"].replace(b">taxa.txt<", f">{location}<".encode())
    with pytest.raises(InputError, match="not inside the archive"):
        load_checklist(pack(tmp_path, files))


def test_a_link_out_of_the_folder_is_not_followed(tmp_path: Path) -> None:
    files = parts(Writing())
    (tmp_path / "secret.txt").write_bytes(files.pop("taxa.txt"))
    folder = as_folder(tmp_path, files)
    (folder / "taxa.txt").symlink_to(tmp_path / "secret.txt")
    with pytest.raises(InputError, match="outside the archive"):
        load_checklist(folder)


def test_a_zip_with_names_that_climb_out_writes_nothing(tmp_path: Path) -> None:
    inner = tmp_path / "in"
    inner.mkdir()
    path = as_zip(inner, {**parts(Writing()), "../escaped.txt": b"out", "/rooted.txt": b"out"})
    assert len(load_checklist(path)) == 4
    assert sorted(file.name for file in tmp_path.rglob("*")) == ["in", "sea_list.zip"]


@pytest.mark.parametrize(
    ("old", "new", "reason"),
    [
        (f"{DWC}Taxon", f"{DWC}Occurrence", "rowType is .*Occurrence"),
        (f"{DWC}Taxon", "http://rs.tdwg.org/dwc/xsd/simpledarwincore/SimpleDarwinRecord", "rowType"),
        (f"{DWC}scientificName", f"{DWC}nameAccordingTo", "no column holds scientific names"),
        (">taxa.txt<", ">absent.txt<", "missing"),
        ("<location>taxa.txt</location>", "", "names no file"),
        ('<coreid index="0"/>', "", "without coreid"),
        ('<id index="0"/>', '<id index="first"/>', "index of id is 'first'"),
        ('encoding="UTF-8" ignore', 'encoding="Klingon" ignore', "unknown encoding"),
        ('fieldsEnclosedBy=""', 'fieldsEnclosedBy="ab"', "fieldsEnclosedBy"),
        (r'fieldsTerminatedBy="\t"', 'fieldsTerminatedBy=""', "fieldsTerminatedBy is empty"),
        ("<core ", '<core rowType="x"/><core ', "2 core elements"),
        ("</archive>", "", "not usable as XML"),
        ("<archive", "<!DOCTYPE archive [<!ENTITY a 'aaaa'>]><archive", "DOCTYPE"),
    ],
)
def test_metafiles_that_are_refused(tmp_path: Path, old: str, new: str, reason: str) -> None:
    files = parts(Writing())
    changed = files["meta.xml"].decode().replace(old, new)
    assert changed != files["meta.xml"].decode()
    files["meta.xml"] = changed.encode()
    with pytest.raises(InputError, match=reason):
        load_checklist(as_zip(tmp_path, files))


def test_no_metafile(tmp_path: Path) -> None:
    files = parts(Writing())
    del files["meta.xml"]
    with pytest.raises(InputError, match=r"0 files meta\.xml"):
        load_checklist(as_zip(tmp_path, files))
    with pytest.raises(InputError, match=r"without meta\.xml"):
        load_checklist(as_folder(tmp_path, files))


def test_a_damaged_member(tmp_path: Path) -> None:
    path = as_zip(tmp_path, parts(QUOTED))
    with zipfile.ZipFile(path) as archive:
        info = archive.getinfo("taxa.txt")
    data = bytearray(path.read_bytes())
    start = info.header_offset + 30 + len(info.filename)
    data[start + 5 : start + 25] = b"\xff" * 20
    path.write_bytes(data)
    with pytest.raises(InputError, match="cannot be read from the zip"):
        load_checklist(path)
