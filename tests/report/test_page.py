"""The page: its numbers against a recount by pandas, and what it must not do whatever the text."""

from __future__ import annotations

import base64
import hashlib
import html
import re
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import Element

import html5lib
import pandas as pd
import pytest

from earwitness.pipeline.publish import Options
from earwitness.pipeline.report import gather, render_page
from earwitness.schemas import Problem
from tests.report.made import Row, dive, edition, placed, run

HOSTILE = '</title></script><img src="https://evil.example/x.png" onerror=alert(1)>$\\frac{{{"\'&{{ 7*7 }}{% raw %}'
CONTROLS = "a\x00b\x1bc\ud800d\u202ee\uffff"
XHTML = "{http://www.w3.org/1999/xhtml}"


def page(rows: list[Row], folder: Path, *rest: Any, **told: Any) -> str:
    return render_page(gather(edition(rows, folder, *rest, **told)))


def parsed(text: str) -> Element:
    """The page as a strict parser reads it: any error in the markup raises."""
    document: Element = html5lib.HTMLParser(strict=True).parse(text)
    return document


def table(text: str, name: str) -> pd.DataFrame:
    """A table of the page, as text cell by cell."""
    found = next(e for e in parsed(text).iter(f"{XHTML}table") if e.get("id") == name)
    lines = [["".join(cell.itertext()).strip() for cell in row] for row in found.iter(f"{XHTML}tr")]
    return pd.DataFrame(lines[1:], columns=lines[0])


@pytest.fixture(scope="module")
def sixty() -> list[Row]:
    return dive(60)


def test_taxa_are_those_of_a_recount(sixty: list[Row], tmp_path: Path) -> None:
    rows = [row for row in sixty if row["recordKind"] == "occurrence"]
    shown = re.findall(
        r'<tr><th scope="row" class="wide">(?:<i>)?(.*?)(?:</i>)?</th><td>(.*?)</td><td class="n">(\d+)</td>'
        r'<td class="n">(\d*)',
        page(sixty, tmp_path),
    )
    frame = pd.DataFrame(rows)
    wanted = frame.groupby("scientificName").agg(
        rank=("taxonRank", "first"), events=("eventID", "size"), counted=("individualCount", "sum")
    )
    assert len(shown) == len(wanted)
    for name, rank, events, counted in shown:
        assert (rank, int(events), int(counted or 0)) == tuple(wanted.loc[name]), name


def test_certainty_across_name_score_is_a_cross_tabulation(sixty: list[Row], tmp_path: Path) -> None:
    rows = pd.DataFrame([row for row in sixty if row["recordKind"] == "occurrence"])
    classes = pd.cut(rows["nameScore"].astype(float), [0, 0.5, 0.7, 0.8, 0.9, 0.95, 1.01], right=False)
    wanted = pd.crosstab(rows["certaintyTerm"], classes, dropna=False)
    shown = table(page(sixty, tmp_path), "sure-table").set_index("Speaker's certainty")
    for term in ("certain", "probable", "possible", "doubtful"):
        assert [int(n) for n in shown.loc[term]][:-1] == list(wanted.loc[term]), term
        assert int(shown.loc[term, "All"]) == (rows["certaintyTerm"] == term).sum()
    assert int(shown.loc["All", "All"]) == len(rows)


def test_groups_and_ranks_are_counted(sixty: list[Row], tmp_path: Path) -> None:
    rows = pd.DataFrame([row for row in sixty if row["recordKind"] == "occurrence"])
    content = gather(edition(sixty, tmp_path))
    assert {g.name: g.events for g in content.groups.groups} == rows["phylum"].value_counts().to_dict()
    assert dict(content.ranks) == rows["taxonRank"].value_counts().to_dict()
    figures = {noun: figure for figure, noun in content.glance}
    assert figures["sightings"] == str(len(rows))
    assert figures["taxa"] == str(rows["scientificName"].nunique())


def test_every_event_and_every_moment_is_listed(sixty: list[Row], tmp_path: Path) -> None:
    text = page(sixty, tmp_path)
    events, moments = table(text, "events-table"), table(text, "moments-table")
    assert list(events["Heard"]) == [row["transcriptText"] for row in sixty]
    wanted = [r for r in sixty if r["markerType"] in ("sample", "image", "highlight", "target")]
    assert list(moments["Fragment"]) == [f"#t={r['startTime']:g},{r['endTime']:g}" for r in wanted]


def test_every_animal_has_one_mark_that_leads_to_its_row(sixty: list[Row], tmp_path: Path) -> None:
    rows, track = placed(sixty)
    document = parsed(page(rows, tmp_path, track))
    ids = {element.get("id") for element in document.iter()}
    marks = [element.get("href") for element in document.iter("{http://www.w3.org/2000/svg}a")]
    marked = [n for n, r in enumerate(rows) if r["recordKind"] == "occurrence" or r["markerType"] in MOMENTS]
    assert sorted(marks, key=lambda mark: int(str(mark)[2:])) == [f"#e{n}" for n in marked]
    assert {str(mark)[1:] for mark in marks} <= ids


MOMENTS = ("sample", "image", "highlight", "target")


def test_rejected_rows_are_left_out_and_reviewed_ones_counted(sixty: list[Row], tmp_path: Path) -> None:
    who = {"reviewedBy": "Rosalind Quay", "reviewedAt": "2033-04-01T00:00:00Z"}
    rows = [row | {"reviewStatus": s} | who for row, s in zip(sixty, ["rejected", "accepted"] * 30, strict=True)]
    text = page(rows, tmp_path)
    assert "words number 0<" not in text
    assert "words number 1<" in text
    assert "has reviewed all 30 rows" in text
    assert "0 of 60 rows reviewed" in page(sixty, tmp_path)


def hostile(rows: list[Row]) -> list[Row]:
    """Rows whose every free text bites."""
    texts = ("scientificName", "phylum", "transcriptText", "speaker", "habitat", "vernacularName", "taxonRank")
    texts += ("identificationQualifier", "organismQuantity", "measurementValue", "sampleContainer", "recordingID")
    done = []
    for row in rows:
        bitten = {key: f"{HOSTILE}{row[key]}{CONTROLS}" for key in texts if row[key] is not None}
        done.append(row | bitten | {"certaintyCues": [HOSTILE], "placeFlags": [HOSTILE]})
    return done


def test_hostile_text_is_only_text(sixty: list[Row], tmp_path: Path) -> None:
    rows, track = placed(hostile(sixty), recording=f"{HOSTILE}samovar_02{CONTROLS}")
    told = run(rows[0]["recordingID"])
    told["checklist"]["name"] = told["softwareVersion"] = HOSTILE
    told["recordings"] = [{"path": HOSTILE, "sha256": "", "title": HOSTILE, "dive": HOSTILE, "site": HOSTILE}]
    (tmp_path / "problems.csv").write_text(f'file,line,severity,reason\n"{HOSTILE}",1,skipped,x\n', "utf-8")
    problems = (Problem(HOSTILE, 1, HOSTILE, HOSTILE),)
    text = page(rows, tmp_path, track, run=told, problems=problems)
    text.encode("utf-8")
    document = parsed(text)
    assert_harmless(document, text)
    assert html.escape(HOSTILE).replace("&quot;", "&#34;").replace("&#x27;", "&#39;") in text
    assert "49" not in str(document.find(f".//{XHTML}h1/*").text)  # type: ignore[union-attr]


def assert_harmless(document: Element, text: str) -> None:
    """One script and one style, those of the policy; nothing is fetched, no handler, no style attribute."""
    elements = list(document.iter())
    tags = [str(element.tag).rpartition("}")[2] for element in elements]
    assert tags.count("script") == tags.count("style") == 1
    assert not {"img", "link", "iframe", "object", "embed", "form", "image", "base", "video"} & set(tags)
    for element in elements:
        for name, value in element.attrib.items():
            assert not name.lower().startswith("on"), name
            assert name != "style"
            if name.rpartition("}")[2] in ("href", "src", "action", "srcset", "data"):
                assert value.startswith("#"), value
    assert not re.search(r"@import|url\((?!#)", re.findall(r"<style>.*?</style>", text, re.DOTALL)[0])
    policy = next(e.get("content") for e in elements if e.get("http-equiv") == "Content-Security-Policy") or ""
    for tag in ("script", "style"):
        inside = re.findall(rf"<{tag}>(.*?)</{tag}>", text, re.DOTALL)[0]
        assert f"{tag}-src 'sha256-{base64.b64encode(hashlib.sha256(inside.encode()).digest()).decode()}'" in policy
    assert policy.startswith("default-src 'none';")


def variants() -> Iterator[tuple[str, list[Row], dict[str, Any]]]:
    rows, track = placed(dive(30))
    yield "placed", rows, {"track": track}
    yield "without UTC", dive(30, start=None), {}
    yield "without an event", [], {}
    yield "without an animal", [row for row in rows if row["recordKind"] != "occurrence"], {"track": track}
    yield "one event", [row for row in rows if row["recordKind"] == "occurrence"][:1], {}
    yield "blurred", rows, {"options": Options(grid_degrees=0.01)}
    yield "over the date line", *over_the_date_line()
    yield "two recordings", dive(20) + dive(20, recording="samovar_03", start=None), {}
    long = [row | {"scientificName": "Ἀστακός 深海の海老 " * 90} for row in rows if row["scientificName"]]
    yield "long names", long, {"track": track}


def over_the_date_line() -> tuple[list[Row], dict[str, Any]]:
    rows, track = placed(dive(30), east=179.995)
    return rows, {"track": track}


@pytest.mark.parametrize(("rows", "told"), [case[1:] for case in variants()], ids=[case[0] for case in variants()])
def test_any_run_gives_a_well_formed_page(rows: list[Row], told: dict[str, Any], tmp_path: Path) -> None:
    text = page(rows, tmp_path, told.pop("track", ()), **told)
    document = parsed(text)
    assert_harmless(document, text)
    assert "achine draft from spoken commentary" in text
    drawn = [row for row in rows if row["recordKind"] in ("occurrence", "marker")]
    assert ('<figure class="chart">' in text) == any(row["decimalLatitude"] is not None for row in drawn)
    assert text.count("Not for navigation") >= ('<figure class="chart">' in text)


def test_tables_have_captions_and_scopes_and_headings_do_not_skip(sixty: list[Row], tmp_path: Path) -> None:
    rows, track = placed(sixty)
    document = parsed(page(rows, tmp_path, track))
    tables = list(document.iter(f"{XHTML}table"))
    assert len(tables) >= 5
    for one in tables:
        assert one.find(f"{XHTML}caption") is not None
        assert all(head.get("scope") for head in one.iter(f"{XHTML}th"))
    levels = [int(e.tag[-1]) for e in document.iter() if re.fullmatch(r".*}h[1-6]", str(e.tag))]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))
    for svg in document.iter("{http://www.w3.org/2000/svg}svg"):
        named = svg.find("{http://www.w3.org/2000/svg}title") is not None
        assert named != (svg.get("aria-hidden") == "true")


def test_exact_positions_and_track_stay_out_of_a_blurred_page(tmp_path: Path) -> None:
    rows, track = placed(dive(30))
    moved = [row | {"decimalLatitude": 38.45, "decimalLongitude": -31.15} for row in rows]
    content = gather(edition(moved, tmp_path, track, options=Options(grid_degrees=0.1)))
    assert content.chart
    assert not content.chart.track
    assert not content.chart.fine.spots
    assert not content.chart.coarse.spots
    sightings = sum(row["recordKind"] == "occurrence" for row in rows)
    assert [square.events for square in content.chart.squares] == [sightings]
    assert not any(line.profile for line in content.timelines)


def test_five_thousand_events_stay_under_three_megabytes(tmp_path: Path) -> None:
    rows = [row | {"transcriptText": "深海の海底で見た生き物 " * 20} for row in dive(5000)]
    rows, track = placed(rows)
    text = page(rows, tmp_path, track)
    assert len(text.encode()) < 3_000_000
    assert text.count("<tr id=") == 5000
    short = page(dive(20), tmp_path)
    assert "words number 19<" in short
