"""What the rows say: IDs that stay, confidences that do not mix, cautions that are always there."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from earwitness.pipeline import draft
from earwitness.pipeline.mention import Candidate, Mention
from earwitness.pipeline.table.events import _support
from earwitness.taxonomy import NameIndex, load_checklist

HEADER = (
    "taxonID,acceptedNameUsageID,parentNameUsageID,scientificName,scientificNameAuthorship,taxonRank,vernacularName\n"
)
CHECKLIST = """1,1,,Animalia,,kingdom,
2,2,1,Cnidaria,,phylum,
3,3,2,Anthozoa,,class,
4,4,3,Scleractinia,,order,stony coral
5,5,4,Caryophylliidae,,family,cup coral
6,6,5,Desmophyllum,"Ehrenberg, 1834",genus,
7,7,6,Desmophyllum pertusum,"(Linnaeus, 1758)",species,reef coral
8,7,6,Lophelia pertusa,"(Linnaeus, 1758)",species,
9,9,1,Porifera,,phylum,sponge
10,10,1,Chaceon affinis,"(A. Milne-Edwards & Bouvier, 1894)",species,deep-sea red crab
"""


@pytest.fixture(scope="module")
def index(tmp_path_factory: pytest.TempPathFactory) -> NameIndex:
    path = tmp_path_factory.mktemp("list") / "few.csv"
    path.write_text(HEADER + CHECKLIST, encoding="utf-8")
    return NameIndex(load_checklist(path))


def rows_of(index: NameIndex, folder: Path, *cues: str, **options: Any) -> list[dict[str, Any]]:
    """Event rows of a transcript: cues of four seconds, a second apart, "WHO: words"."""
    path = folder / "talk.vtt"
    blocks = []
    for number, cue in enumerate(cues):
        who, _, words = cue.partition(": ")
        at = number * 5
        blocks.append(
            f"00:{at // 60:02d}:{at % 60:02d}.000 --> 00:{at // 60:02d}:{at % 60 + 4:02d}.000\n<v {who}>{words}\n"
        )
    path.write_text("WEBVTT\n\n" + "\n".join(blocks), encoding="utf-8")
    return draft(path, index, **options).events


def test_a_synonym_gives_the_accepted_name_and_says_so(index: NameIndex, tmp_path: Path) -> None:
    (row,) = rows_of(index, tmp_path, "Una: That is Lophelia pertusa.")
    assert row["scientificName"] == "Desmophyllum pertusum"
    assert row["taxonID"] == row["acceptedNameUsageID"] == "7"
    assert row["scientificNameAuthorship"] == "(Linnaeus, 1758)"
    assert row["verbatimIdentification"] == "Lophelia pertusa"
    assert "Lophelia pertusa" in row["identificationRemarks"]
    assert (row["genus"], row["family"], row["order"]) == ("Desmophyllum", "Caryophylliidae", "Scleractinia")


def test_the_two_confidences_are_apart(index: NameIndex, tmp_path: Path) -> None:
    """A clear caption of a guess, and a shaky caption of a sure statement."""
    (guess,) = rows_of(index, tmp_path, "Una: Maybe a sponge.")
    (shaky,) = rows_of(index, tmp_path, "Una: That is definitely chasey on a finish.")
    assert guess["nameScore"] > 0.9
    assert guess["certainty"] < 0.6
    assert guess["certaintyCues"] == ["Maybe"]
    assert shaky["scientificName"] == "Chaceon affinis"
    assert shaky["nameScore"] <= guess["nameScore"]
    assert shaky["certainty"] > guess["certainty"] + 0.3


def test_a_group_above_what_was_said_fits_the_words_as_what_was_said_does(index: NameIndex, tmp_path: Path) -> None:
    (row,) = rows_of(index, tmp_path, "Una: That is Lophelia pertusa. I can't tell the species, genus only.")
    assert (row["scientificName"], row["taxonRank"]) == ("Desmophyllum", "genus")
    assert "a group above what was said" in row["identificationRemarks"]
    said = [other["nameScore"] for other in row["alternatives"] if other["scientificName"].startswith("Desmophyllum")]
    assert 0.9 < max(said) <= row["nameScore"] <= 1
    # Heard by its sound, the group may itself be among the names, with little to its credit.
    genus, species, far = (
        index.checklist.find(name)[0] for name in ("Desmophyllum", "Desmophyllum pertusum", "Porifera")
    )
    scores = {species: 0.95, genus: 0.01, far: 0.03}
    candidates = tuple(Candidate(row, row, "", "similar", score) for row, score in scores.items())
    mention = Mention(0, 1, "", candidates)
    assert _support(index.checklist, mention, genus) == (candidates[0], 0.96)
    assert _support(index.checklist, mention, species) == (candidates[0], 0.95)
    assert _support(index.checklist, mention, far) == (candidates[2], 0.03)


def test_every_occurrence_carries_its_caution(index: NameIndex, tmp_path: Path) -> None:
    for row in rows_of(index, tmp_path, "Una: Two sponges.", "Una: We are on bottom.", "Una: A stony coral."):
        assert row["reviewStatus"] == "draft"
        assert row["reviewedBy"] is None
        if row["recordKind"] == "occurrence":
            assert row["identificationVerificationStatus"] == "unverified"
            assert "not a verified identification" in row["identificationRemarks"]
            assert row["basisOfRecord"] == "MachineObservation"
        assert row["decimalLatitude"] is None
        assert row["minimumDepthInMeters"] is None


def test_counts_go_to_the_columns_of_their_kind(index: NameIndex, tmp_path: Path) -> None:
    exact, about, many = (
        rows_of(index, tmp_path, f"Una: {words}")[0]
        for words in ("Three sponges.", "About twenty sponges.", "Lots of sponges.")
    )
    assert (exact["individualCount"], exact["organismQuantity"]) == (3, None)
    assert (about["individualCount"], about["organismQuantity"]) == (None, "20")
    assert about["organismQuantityType"] == "individuals, approximate"
    assert (many["organismQuantity"], many["organismQuantityType"]) == ("many", "abundance as spoken")


def test_previous_identifications_stand_in_order_with_speaker_and_time(index: NameIndex, tmp_path: Path) -> None:
    (row,) = rows_of(index, tmp_path, "Una: That is a sponge.", "Odo: No, it's a stony coral.")
    assert row["scientificName"] == "Scleractinia"
    assert row["speaker"] == "Odo"
    assert row["previousIdentifications"].startswith("Porifera (Una, ")
    assert "corrected" in row["previousIdentifications"]


def test_event_dates_only_where_the_start_is_known(index: NameIndex, tmp_path: Path) -> None:
    (row,) = rows_of(index, tmp_path, "Una: That is a sponge.")
    assert row["eventDate"] is None
    start = datetime(2031, 6, 14, 23, 59, 57, tzinfo=UTC)
    (row,) = rows_of(index, tmp_path, "Una: That is a sponge.", starts={"talk": start})
    begin, end = row["eventDate"].split("/")
    assert begin.startswith("2031-06-14T23:59:59")
    assert end.startswith("2031-06-15T00:00:00")
    read = datetime.fromisoformat(begin)
    assert (read - start).total_seconds() == pytest.approx(row["startTime"], abs=0.001)


def test_ids_are_unique_and_stay_when_other_talk_changes(index: NameIndex, tmp_path: Path) -> None:
    talk = ["Una: Two sponges.", "Una: We are on bottom.", "Una: Depth two hundred metres.", "Una: A stony coral."]
    before = rows_of(index, tmp_path, *talk)
    after = rows_of(index, tmp_path, *talk, "Una: And a deep-sea red crab.")
    ids = [row["eventID"] for row in after]
    assert len(set(ids)) == len(ids)
    assert {row["eventID"] for row in before} < set(ids)


def test_two_events_at_one_word_have_ids_of_their_own(index: NameIndex, tmp_path: Path) -> None:
    """Many names in one short cue: times by length still differ, and where they do not, a number does."""
    words = "Una: " + " ".join(["sponge and stony coral and deep-sea red crab"] * 5)
    ids = [row["eventID"] for row in rows_of(index, tmp_path, words)]
    assert len(set(ids)) == len(ids)


def test_transcript_text_is_what_was_said(index: NameIndex, tmp_path: Path) -> None:
    (row,) = rows_of(index, tmp_path, "Una: That is a sponge.", "Odo: A lovely sponge, yes.")
    assert row["transcriptText"] == "That is a sponge. | A lovely sponge, yes."
