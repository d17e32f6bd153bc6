"""`earwitness explain` as a user meets it: on the built-in dive, on invented rows, and given wrong input."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from earwitness.pipeline import draft
from earwitness.pipeline.command.console import CAUTION_LINE
from earwitness.pipeline.command.explanation import ATTRIBUTES
from earwitness.schemas import columns, load_schema, validate
from tests.conftest import Told

Row = dict[str, Any]

TALK = "i think that might be a tinopsis, i mean a bat star, or no"


@pytest.fixture
def told(here: Callable[..., Told]) -> Callable[..., Told]:
    """Run `earwitness explain` in this process."""
    return partial(here, "explain")


def event(event_id: str, **more: Any) -> Row:
    """An invented row of the event table that keeps the contract."""
    row: Row = dict.fromkeys(columns("event"))
    row |= {"eventID": event_id, "recordingID": event_id.partition(":")[0], "recordKind": "occurrence"}
    row |= {"startTime": 61.0, "endTime": 64.5, "timeUncertainty": 0.2, "transcriptText": TALK}
    row |= {"alternatives": [], "certaintyCues": [], "determinations": [], "reviewStatus": "draft"}
    row |= {"softwareVersion": "0", "checklistName": "invented", "checklistHash": "0" * 64}
    if "recordKind" not in more:
        row |= {"scientificName": "Farrea", "taxonID": "t2", "nameScore": 0.9, "occurrenceStatus": "present"}
        row |= {"certainty": 0.45, "certaintyTerm": "possible", "basisOfRecord": "MachineObservation"}
        row |= {"identificationVerificationStatus": "unverified"}
    row |= more
    validate("event", [row])
    return row


def mention(mention_id: str, event_id: str | None, words: str, **more: Any) -> Row:
    """An invented row of mentions.jsonl in the utterance `TALK`."""
    row: Row = dict.fromkeys(columns("mention"))
    at = TALK.index(words)
    row |= {"mentionID": mention_id, "recordingID": mention_id.partition(":")[0], "eventID": event_id}
    row |= {"startTime": 61.0 + at / 20, "endTime": 62.0 + at / 20, "timeUncertainty": 0.2}
    row |= {"utteranceStart": 61.0, "utteranceEnd": 64.5, "utteranceText": TALK, "beginsAt": at}
    row |= {"endsAt": at + len(words), "verbatimIdentification": words, "matchedName": words, "matchedHow": "similar"}
    row |= {"scientificName": "Tylaspis", "taxonID": "t1", "nameScore": 0.71, "alternatives": []}
    row |= {"status": "hedged", "certainty": 0.45, "certaintyTerm": "possible", "certaintyCues": [], "cues": []} | more
    validate("mention", [row])
    return row


def cue(words: str, at: int | None = None, **more: Any) -> Row:
    begin = TALK.index(words) if at is None else at
    row = {"words": words, "beginsAt": begin, "endsAt": begin + len(words), "category": "hedge"}
    return row | {"did": "lowered certainty to 0.45", "source": "Kent 1964"} | more


def step(name: str, did: str, words: str, **more: Any) -> Row:
    row = {"scientificName": name, "taxonID": "t1", "step": did, "verbatimIdentification": words}
    return row | {"speaker": "Ilse", "time": 61.5, "certainty": 0.45} | more


EVENTS = [
    event(
        "night:o00061000",
        scientificName="Patiria",
        taxonRank="genus",
        identificationQualifier="inc.",
        vernacularName="bat star",
        speaker="Ilse",
        certaintyCues=["might be"],
        individualCount=4,
        sizeValue=12.5,
        sizeUnit="cm",
        colour="orange",
        associatedTaxa='"on":"Farrea"',
        determinations=[step("Tylaspis", "named", "tinopsis"), step("Patiria", "corrected", "bat star", time=3661.2)],
        previousIdentifications="Tylaspis (Ilse, 61.500 s, then corrected)",
        identificationRemarks="Machine draft, not a verified identification.",
    ),
    event("night:o00061000.2"),
    event("night:m00070000", recordKind="marker", markerType="sample", sampleContainer="quiver [2]"),
    event("day:o00005000"),
    event("day:q00009000", recordKind="measurement", measurementType="depth", measurementValue="912"),
    event("day:s00009500", recordKind="substrate", habitat="pillow lava"),
]
OTHER = {"scientificName": "Hippasteria", "taxonID": "t3", "taxonRank": "genus", "nameScore": 0.12}
MENTIONS = [
    mention(
        "night:n00062500",
        "night:o00061000",
        "bat star",
        scientificName="Patiria",
        matchedHow="exact",
        certaintyCues=["or no"],
    ),
    mention(
        "night:n00061500",
        "night:o00061000",
        "tinopsis",
        taxonRank="genus",
        alternatives=[OTHER],
        cues=[
            cue("i think", did="made it probable"),
            cue("might be"),
            cue("surely", -20, did="raised certainty", source=""),
            cue("maybe not", 200, did="lowered it again", source=""),
        ],
    ),
    mention("night:n00063000", None, "no", status="figure", certainty=None, certaintyTerm=None),
]


def written(folder: Path, events: list[Row], mentions: list[Row]) -> Path:
    folder.mkdir()
    for name, rows in (("events", events), ("mentions", mentions)):
        text = "".join(json.dumps(row) + "\n" for row in rows)
        (folder / f"{name}.jsonl").write_text(text, encoding="utf-8")
    return folder


@pytest.fixture
def run(tmp_path: Path) -> Path:
    return written(tmp_path / "run", EVENTS, MENTIONS)


def told_in(page: str, heading: str) -> str:
    """One section of a page, with all its blanks folded."""
    section = page[page.index(f"\n{heading}") + 1 :].split("\n\n")[0]
    return " ".join(section.split())


def test_the_page_of_an_event(run: Path, told: Callable[..., Told]) -> None:
    code, page, complaint = told("night:o00061000", run)
    assert (code, complaint) == (0, "")
    head = " ".join(page[: page.index("Words")].split())
    assert head.startswith("night:o00061000 occurrence in night, 61.000 to 64.500 s")
    assert "Patiria inc. (genus) bat star" in head
    assert "The speaker was possible (0.45): “might be”. The words fit the name 0.90." in head
    assert "draft, unverified" in head
    # By time, so "tinopsis" is 1; the cues that were said before and after have no place in the utterance.
    marked = "{i think} that {might be} a [1: tinopsis], i mean a [2: bat star], or no"
    assert marked in told_in(page, "Words")
    made = told_in(page, "What was made of each name")
    assert "1: “tinopsis” hedged, possible (0.45)" in made
    assert "{i think} hedge: made it probable; source: Kent 1964" in made
    assert "{might be} hedge: lowered certainty to 0.45; source: Kent 1964" in made
    assert "{surely} hedge, said before: raised certainty" in made
    assert "{maybe not} hedge, said after: lowered it again" in made
    assert "0.71 Tylaspis (genus), similar: “tinopsis” 0.12 Hippasteria (genus) 2: “bat star”" in made
    assert made.endswith("because of “or no” 0.71 Patiria, exact: “bat star”")
    assert told_in(page, "Also named") == "Also named in these utterances “no” Tylaspis, figure, of no event"
    chain = told_in(page, "How the name came about")
    assert "1. 1:01 named Tylaspis (Ilse, “tinopsis”, certainty 0.45)" in chain
    assert "2. 1:01:01 corrected Patiria (Ilse, “bat star”, certainty 0.45)" in chain
    assert "Tylaspis (Ilse, 61.500 s, then corrected)" in told_in(page, "Names that do not stand")
    said = told_in(page, "What else was said of it")
    assert said.endswith('count 4 size 12.5 unit of size cm colour orange with "on":"Farrea"')
    assert "not a verified identification" in told_in(page, "Remarks")
    assert " ".join(page.split()).endswith(CAUTION_LINE)


def test_it_can_be_read_at_80_columns_and_without_colour(run: Path, told: Callable[..., Told]) -> None:
    page = told("night:o00061000", run)[1]
    assert max(map(len, page.splitlines())) <= 80
    assert "\x1b" not in page


def test_json_is_the_same_rows(run: Path, told: Callable[..., Told]) -> None:
    made = json.loads(told("night:o00061000", run, "--json")[1])
    assert made == {
        "event": EVENTS[0],
        "mentions": [MENTIONS[1], MENTIONS[0]],
        "alsoNamed": [MENTIONS[2]],
        "caution": CAUTION_LINE,
    }


@pytest.mark.parametrize(
    ("event_id", "words"),
    [
        ("night:m00070000", "marker sample container quiver [2]"),
        ("day:q00009000", "measured depth value 912"),
        ("day:s00009500", "habitat pillow lava"),
    ],
)
def test_rows_without_a_name_show_their_words(event_id: str, words: str, run: Path, told: Callable[..., Told]) -> None:
    code, page, _ = told(event_id, run)
    assert code == 0
    assert told_in(page, "Words").endswith(TALK)
    assert words in told_in(page, "What else was said of it")
    assert "How the name came about" not in page
    assert CAUTION_LINE in " ".join(page.split())


def test_the_folder_may_be_where_one_is(run: Path, told: Callable[..., Told], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(run)
    assert told("day:o00005000")[1].startswith("day:o00005000")


def test_as_much_of_an_id_as_no_other_has(run: Path, told: Callable[..., Told]) -> None:
    assert told("day:o", run)[1].startswith("day:o00005000")
    # A whole ID is never taken for the beginning of another.
    assert told("night:o00061000", run)[1].startswith("night:o00061000\n")


@pytest.mark.parametrize(
    ("event_id", "reason"),
    [
        ("night:o", "2 events begin with 'night:o'; expected one of night:o00061000, night:o00061000.2"),
        ("night:o00051000", "there is no event 'night:o00051000'; expected perhaps night:o00061000"),
        ("#", "there is no event '#'; expected an eventID of this run, like night:o00061000, .* and 1 more"),
        ("", "there is no event ''; expected an eventID of this run"),
        ("[bold]x", r"there is no event '\[bold\]x'"),
    ],
)
def test_a_wrong_id_is_one_line_with_near_ones(
    event_id: str, reason: str, run: Path, told: Callable[..., Told]
) -> None:
    code, page, complaint = told(event_id, run)
    assert (code, page) == (3, "")
    assert len(complaint.splitlines()) == 1
    assert re.search(reason, complaint)


def test_a_run_without_events(tmp_path: Path, told: Callable[..., Told]) -> None:
    code, _, complaint = told("night:o1", written(tmp_path / "silent", [], []))
    assert code == 3
    assert "this run has no events" in complaint


@pytest.mark.parametrize(
    ("file", "line", "reason"),
    [
        ("events.jsonl", None, r"events\.jsonl: is missing; expected the folder of a finished run"),
        ("mentions.jsonl", None, r"mentions\.jsonl: is missing; expected the folder of a finished run"),
        ("events.jsonl", b"{", r"events\.jsonl:1: not JSON"),
        ("mentions.jsonl", b"7", r"mentions\.jsonl:1: not a JSON object"),
        ("mentions.jsonl", b"[" * 100_000, r"mentions\.jsonl:1: not JSON"),
        ("events.jsonl", b"\xff", r"events\.jsonl: not UTF-8 text"),
        ("events.jsonl", b'{"startTime": true}', r"events\.jsonl:1: startTime is True"),
    ],
)
def test_a_wrong_folder_or_file_is_one_line_with_the_remedy(
    file: str, line: bytes | None, reason: str, run: Path, told: Callable[..., Told]
) -> None:
    if line is None:
        (run / file).unlink()
    else:
        (run / file).write_bytes(line + b"\n")
    code, page, complaint = told("night:o00061000", run)
    assert (code, page) == (3, "")
    assert len(complaint.splitlines()) == 1
    assert re.search(reason, complaint)


@pytest.mark.parametrize(
    ("edit", "reason"),
    [
        ({"determinations": "x"}, r"event 'day:o00005000' cannot be told: determinations: 'x' is not of type 'array'"),
        ({"transcriptText": None}, "transcriptText"),
        ({"surprise": 1}, r"surprise.*draft the recording again"),
    ],
)
def test_a_row_that_breaks_the_contract_is_refused(
    edit: Row, reason: str, tmp_path: Path, told: Callable[..., Told]
) -> None:
    code, page, complaint = told("day:o00005000", written(tmp_path / "edited", [EVENTS[3] | edit], []))
    assert (code, page) == (3, "")
    assert re.search(reason, complaint)
    # Rows that are not told of do not stand in the way.
    assert told("day:q", written(tmp_path / "other", [EVENTS[3] | edit, EVENTS[4]], []))[0] == 0


@pytest.mark.parametrize("edit", [{"cues": [{"words": 1}]}, {"utteranceText": ["x"]}, {"beginsAt": "0"}])
def test_a_broken_mention_is_refused(edit: Row, tmp_path: Path, told: Callable[..., Told]) -> None:
    folder = written(tmp_path / "edited", EVENTS, [MENTIONS[0] | edit, *MENTIONS[1:]])
    code, page, complaint = told("night:o00061000", folder)
    assert (code, page) == (3, "")
    assert re.search(r"mentions\.jsonl: mention 'night:n00062500' cannot be told", complaint)


def test_words_from_a_transcript_are_shown_as_they_are(tmp_path: Path, told: Callable[..., Told]) -> None:
    text = "[red]tylaspis[/red] {it} is \x1b[31m\u202e\ud800 [/] here"
    spoken = {"utteranceText": text, "verbatimIdentification": "[red]tylaspis[/red]", "beginsAt": 0, "endsAt": 19}
    acted = cue("[red]t", 0, did="[/nothing]", category="[b]", source="[link=x]s")
    row = MENTIONS[0] | spoken | {"cues": [acted], "speaker": "[blink]P"}
    folder = written(tmp_path / "odd", [EVENTS[0] | {"transcriptText": text, "scientificName": "[i]T\x07"}], [row])
    code, page, complaint = told("night:o00061000", folder)
    assert (code, complaint) == (0, "")
    shown = " ".join(page.split())
    # The cue lies in the name: its marks are inside.
    assert "[blink]P: [1: {[red]t}ylaspis[/red]] {it} is �[31m�� [/] here" in shown
    assert "{[red]t} [b]: [/nothing]; source: [link=x]s" in shown
    assert "[i]T�" in shown
    assert not {"\x1b", "\u202e", "\x07"} & set(page)
    code, made, _ = told("night:o00061000", folder, "--json")
    assert code == 0
    assert json.loads(made)["mentions"][0]["verbatimIdentification"] == "[red]tylaspis[/red]"


def test_marks_that_cross_or_lie_outside_do_no_harm(tmp_path: Path, told: Callable[..., Told]) -> None:
    cues = [cue("a tinopsis, i mean", did="crosses"), cue("x", len(TALK), did="at the end"), cue("", 4, did="is empty")]
    row = MENTIONS[1] | {"cues": cues}
    folder = written(tmp_path / "odd", EVENTS, [row, MENTIONS[0] | {"beginsAt": 5000, "endsAt": 9000}])
    code, page, _ = told("night:o00061000", folder)
    assert code == 0
    words = told_in(page, "Words")
    # The words themselves are all there, once, in order.
    assert re.sub(r"\[\d: |[\]{}]", "", words).endswith(TALK)
    assert "{a [1: tinopsis], i mean}" in words


@pytest.fixture(scope="module")
def demo_run(dive: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("explained")
    draft([dive / "clean.vtt", dive / "heard.vtt"], dive / "checklist.csv").write(out)
    return out


def test_every_row_of_the_built_in_dive(demo_run: Path, told: Callable[..., Told]) -> None:
    rows = [json.loads(line) for line in (demo_run / "events.jsonl").read_text("utf-8").splitlines()]
    assert {row["recordingID"] for row in rows} == {"clean", "heard"}
    for row in rows:
        code, page, complaint = told(row["eventID"], demo_run)
        assert (code, complaint) == (0, ""), row["eventID"]
        assert max(map(len, page.splitlines())) <= 80
        words = " ".join(page.split())
        assert CAUTION_LINE in words
        if row["recordKind"] != "occurrence":
            assert " ".join(row["transcriptText"].split()) in words
            continue
        assert row["scientificName"] in words
        assert "[1: " in page
        steps = [found["step"] for found in row["determinations"]]
        assert re.findall(r"^ +\d+\. [\d:]+ +(\w+) ", page, re.MULTILINE) == steps


def test_columns_that_a_row_leaves_out_are_empty(tmp_path: Path, told: Callable[..., Told]) -> None:
    optional = set(columns("event")) - set(load_schema("event")["required"])
    assert {"scientificName", "previousIdentifications", "sex"} <= optional
    bare = {column: value for column, value in EVENTS[3].items() if column not in optional}
    code, page, complaint = told("day:o00005000", written(tmp_path / "bare", [bare], []))
    assert (code, complaint) == (0, "")
    assert "no name" in page


def test_attributes_are_columns() -> None:
    assert {column for column, _ in ATTRIBUTES} <= set(columns("event"))
