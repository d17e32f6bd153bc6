"""`earwitness draft --pseudonyms`: nobody's name in any file, words still where the rows say, the key kept apart."""

from __future__ import annotations

import csv
import json
import stat
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import polars as pl
import pytest

from earwitness.pipeline.table import FILES
from tests.conftest import Told

# Real taxa, names from memory; Doris is a genus of nudibranchs.
TAXA = """\
taxonID,scientificName,taxonRank,vernacularName
1,Caridea,infraorder,shrimp
2,Brachyura,infraorder,crab
3,Octopoda,order,octopus
4,Munida,genus,
5,Munida sarsi,species,
6,Munida rugosa,species,
7,Actiniaria,order,anemone
8,Doris verrucosa,species,
9,Hexactinellida,class,glass sponge
"""
TALK = """\
WEBVTT

00:01.000 --> 00:04.000
<v Odette Vane>Good morning, I'm Odette, and with me is Bram.

00:05.000 --> 00:08.000
<v Bram>Thank you Shrimp. That's our pilot, everybody calls him Shrimp.

00:09.000 --> 00:12.000
<v Odette Vane>BRAM, is that Munida sarsi, next to Odette's crab?

00:13.000 --> 00:16.000
<v Bram>No, Odette, I think that's Munida rugosa. Ask Zelda.

00:17.000 --> 00:20.000
<v Odette Vane>Yes, Bram, Munida rugosa.

00:21.000 --> 00:24.000
<v S4>Sample one, please, Shrimp. In bram’s box.

00:25.000 --> 00:28.000
<v Odette Vane>And two shrimp on the sponge. Real ones, says Shrimp.

00:29.000 --> 00:32.000
<v S4>Zelda in the chat asks about the anemone, odette.

00:33.000 --> oops
<v Bram>Bram again, with an octopus.

00:37.000 --> 00:40.000
<v Bram>Doris, can you see it? It's a Doris verrucosa. Odette Vane will know.
"""
NAMES = ("odette", "vane", "bram", "zelda")


@pytest.fixture
def draft(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, here: Callable[..., Told]) -> Callable[..., Told]:
    """Run `earwitness draft` on the talk (or another) in this process."""
    (tmp_path / "taxa.csv").write_text(TAXA, encoding="utf-8")
    (tmp_path / "talk.vtt").write_text(TALK, encoding="utf-8")
    monkeypatch.chdir(tmp_path)

    def run(*arguments: str, talk: str = "talk.vtt", out: str = "out") -> Told:
        return here("draft", talk, "--checklist", "taxa.csv", "--out", out, *arguments)

    return run


def rows(out: Path, name: str) -> list[dict[str, Any]]:
    return [json.loads(line) for line in (out / f"{name}.jsonl").read_text("utf-8").splitlines()]


def strings(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for part in value.values():
            yield from strings(part)
    elif isinstance(value, list):
        for part in value:
            yield from strings(part)


def key_of(path: Path) -> dict[str, str]:
    with path.open(encoding="utf-8", newline="") as lines:
        return {row["name"]: row["pseudonym"] for row in csv.DictReader(lines)}


def test_nobody_is_named_in_any_file(draft: Callable[..., Told], tmp_path: Path) -> None:
    code, printed, complaint = draft("--pseudonyms", "key.csv", "--all")
    assert code == 0, complaint
    out = tmp_path / "out"
    assert sorted(path.name for path in out.iterdir()) == sorted(FILES)
    told = {path.name: path.read_bytes().decode("utf-8", "replace").lower() for path in out.iterdir()}
    # Parquet is compressed: its text is read as a user's program reads it.
    told["events.parquet"] = json.dumps(pl.read_parquet(out / "events.parquet").to_dicts(), default=str).lower()
    told["printed"] = printed.lower()
    assert [(file, name) for file, text in told.items() for name in NAMES if name in text] == []
    assert b"odette" not in (out / "events.parquet").read_bytes().lower()
    assert "person 1" in told["events.csv"]
    assert "person 1" in told["events.parquet"]
    assert json.loads((out / "run.json").read_text("utf-8"))["settings"]["pseudonyms"] is True


def test_without_the_option_people_are_named(draft: Callable[..., Told], tmp_path: Path) -> None:
    """What the other tests look for would be there."""
    assert draft()[0] == 0
    told = (tmp_path / "out" / "mentions.jsonl").read_text("utf-8").lower()
    assert [name for name in NAMES if name not in told] == []
    assert json.loads((tmp_path / "out" / "run.json").read_text("utf-8"))["settings"]["pseudonyms"] is False


def test_places_still_cut_the_right_words(draft: Callable[..., Told], tmp_path: Path) -> None:
    assert draft()[0] == 0
    plain = rows(tmp_path / "out", "mentions")
    assert draft("--pseudonyms", "key.csv")[0] == 0
    hidden = rows(tmp_path / "out", "mentions")
    assert [row["mentionID"] for row in hidden] == [row["mentionID"] for row in plain]
    moved = 0
    for before, after in zip(plain, hidden, strict=True):
        words = after["utteranceText"][after["beginsAt"] : after["endsAt"]]
        assert words == after["verbatimIdentification"]
        if before["status"] != "person" and "Shrimp" not in before["verbatimIdentification"]:
            assert words == before["verbatimIdentification"]
        moved += after["beginsAt"] != before["beginsAt"]
        for old, new in zip(before["cues"], after["cues"], strict=True):
            if old["category"] != "person":
                assert new["words"] == old["words"]
            if new["beginsAt"] >= 0 and new["endsAt"] <= len(after["utteranceText"]):
                assert after["utteranceText"][new["beginsAt"] : new["endsAt"]] == new["words"]
    assert moved >= 3
    assert "Shrimp" not in [cue for row in hidden for cue in row["certaintyCues"]]


def test_animals_keep_their_names(draft: Callable[..., Told], tmp_path: Path) -> None:
    assert draft("--pseudonyms", "key.csv")[0] == 0
    events = rows(tmp_path / "out", "events")
    pair = next(row for row in events if "two shrimp on the sponge" in row["transcriptText"])
    assert pair["scientificName"] == "Caridea"
    assert pair["verbatimIdentification"] == "shrimp"
    nickname = key_of(tmp_path / "key.csv")["Shrimp"]
    assert pair["transcriptText"].endswith(f"Real ones, says {nickname}.")
    slug = next(row for row in events if row["scientificName"] == "Doris verrucosa")
    assert "a Doris verrucosa" in slug["transcriptText"]
    assert slug["verbatimIdentification"] == "Doris verrucosa"


def test_speakers_and_history_have_pseudonyms(draft: Callable[..., Told], tmp_path: Path) -> None:
    assert draft("--pseudonyms", "key.csv")[0] == 0
    key = key_of(tmp_path / "key.csv")
    assert key["Odette Vane"] == key["Odette"] == "Person 1"
    assert key["Bram"] == "Person 2"
    assert key["S4"] != key["Bram"]
    events = rows(tmp_path / "out", "events")
    assert {row["speaker"] for row in events} <= set(key.values())
    steps = [step for row in events for step in row["determinations"]]
    assert {step["speaker"] for step in steps} <= set(key.values())
    squat = next(row for row in events if row["scientificName"] == "Munida rugosa")
    assert "(Person 1, " in squat["previousIdentifications"]
    assert "S4" not in set(strings(events))


def test_the_same_people_in_the_next_run(draft: Callable[..., Told], tmp_path: Path) -> None:
    assert draft("--pseudonyms", "key.csv")[0] == 0
    first = {name: (tmp_path / "out" / name).read_bytes() for name in FILES if name != "run.json"}
    key = (tmp_path / "key.csv").read_bytes()
    assert draft("--pseudonyms", "key.csv")[0] == 0
    assert {name: (tmp_path / "out" / name).read_bytes() for name in first} == first
    assert (tmp_path / "key.csv").read_bytes() == key
    (tmp_path / "next.vtt").write_text(
        "WEBVTT\n\n00:01.000 --> 00:04.000\n<v Ida>Bram, there's a crab, says zelda.\n", encoding="utf-8"
    )
    assert draft("--pseudonyms", "key.csv", talk="next.vtt", out="second")[0] == 0
    after = key_of(tmp_path / "key.csv")
    assert (tmp_path / "key.csv").read_bytes().startswith(key)
    assert set(after) - set(key_of_bytes(key)) == {"Ida"}
    crab = rows(tmp_path / "second", "events")[0]
    assert crab["transcriptText"] == f"{after['Bram']}, there's a crab, says {after['Zelda']}."
    assert crab["speaker"] == after["Ida"]
    assert stat.S_IMODE((tmp_path / "key.csv").stat().st_mode) == 0o600


def key_of_bytes(data: bytes) -> list[str]:
    return [row["name"] for row in csv.DictReader(data.decode().splitlines())]


def test_raw_captions_without_speakers(draft: Callable[..., Told], tmp_path: Path) -> None:
    lines = ["thank you limpet that's our pilot", "over to you odette there is a crab", "odette's crab has an anemone"]
    cues = [f"00:{2 * n + 1:02d}.000 --> 00:{2 * n + 2:02d}.500\n{line}\n" for n, line in enumerate(lines)]
    (tmp_path / "raw.vtt").write_text("WEBVTT\n\n" + "\n".join(cues), encoding="utf-8")
    assert draft("--pseudonyms", "key.csv", talk="raw.vtt")[0] == 0
    told = (tmp_path / "out" / "mentions.jsonl").read_text("utf-8") + (tmp_path / "out" / "events.csv").read_text(
        "utf-8"
    )
    assert "odette" not in told
    assert "there is a crab" in told
    assert set(key_of(tmp_path / "key.csv")) >= {"odette"}


@pytest.mark.parametrize(
    ("key", "content", "told"),
    [
        ("out/key.csv", None, "out/key.csv: the key of the pseudonyms would lie in the folder of results"),
        ("no/such/key.csv", None, "no/such/key.csv: cannot be written"),
        (".", None, "is a folder"),
        ("key.csv", "who,what\na,b\n", "key.csv:1: has no columns name and pseudonym"),
        ("key.csv", "name,pseudonym\nOdette,\n", "key.csv:2: a name without its pseudonym"),
        ("taxa.csv", None, "taxa.csv:1: has no columns"),
    ],
)
def test_a_wrong_key_is_one_clear_line_and_nothing_is_written(
    key: str, content: str | None, told: str, draft: Callable[..., Told], tmp_path: Path
) -> None:
    if content is not None:
        (tmp_path / key).write_text(content, encoding="utf-8")
    before = sorted(path.name for path in tmp_path.iterdir())
    code, printed, complaint = draft("--pseudonyms", key)
    assert (code, printed) == (3, "")
    assert told in complaint
    assert len(complaint.strip().splitlines()) == 1
    assert sorted(path.name for path in tmp_path.iterdir()) == before
