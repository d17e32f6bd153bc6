"""All mentions of a Doc together: what holds of any talk, the spaCy component, and that nothing hangs on chance."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from earwitness.pipeline.mention import MENTIONS, Mentions, find_mentions, mentions_of
from earwitness.pipeline.segment import build_language
from earwitness.taxonomy import exact_score

from .listed import TAXA, Listener, write_checklist

NAMES = [line.strip().split("|")[0] for line in TAXA.strip().split("\n")]
SPOKEN = [
    name
    for line in TAXA.strip().split("\n")
    for name in "".join(line.split("|")[2:]).split(", ")
    if name and not name.startswith("= ")
]
SPELT = [
    "hexactinelid",
    "moonida",
    "chasey on a finneys",
    "Ophiuroids",
    "crabs'",
    "crab_shrimp",
    "don't",
    "gonna",
    "it's",
]
SMALL = [
    "E.",
    "L.",
    "antarctica",
    "sarsi",
    "pertusa",
    "the",
    "a",
    "two",
    "dead",
    "rubble",
    "is",
    "cf.",
    "sp.",
    "species",
]
SIGNS = [",", ".", "?", "-", "(", ")", "\n", "  ", "a/b", "10cm", "ß", "海", "…", "'", "’s", "query"]
BITS = st.sampled_from([*NAMES, *SPOKEN, *SPELT, *SMALL, *SIGNS])
TALK = st.lists(st.tuples(BITS, st.sampled_from([" ", " ", " ", ""])), max_size=14).map(
    lambda bits: "".join(text + blank for text, blank in bits)
)


@settings(max_examples=150, deadline=None)
@given(TALK)
def test_mentions_are_in_order_apart_ranked_and_always_the_same(sea: Listener, text: str) -> None:
    doc = sea.doc(text)
    mentions = find_mentions(doc, sea.index)
    end = 0
    for mention in mentions:
        assert end <= mention.start < mention.end
        end = mention.end
        assert mention.text == doc[mention.start : mention.end].text
        scores = [candidate.score for candidate in mention.candidates]
        assert scores
        assert scores == sorted(scores, reverse=True)
        assert all(0 <= score <= 1 for score in scores)
        rows = [candidate.row for candidate in mention.candidates]
        assert len(set(rows)) == len(rows)
        for candidate in mention.candidates:
            assert sea.index.checklist.accepted(candidate.said_row) == candidate.row
            assert sea.index.checklist.accepted(candidate.row) == candidate.row
    assert find_mentions(sea.doc(text), sea.index) == mentions


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.sampled_from([n for n in NAMES if " " in n] + ["Leiopathes", "glass sponge"]), min_size=1, max_size=6)
)
def test_every_exact_name_between_commas_is_found(sea: Listener, names: list[str]) -> None:
    assert [m.text for m in sea.hear(", ".join(names))] == names


def test_the_component_sets_spans_and_mentions(sea: Listener) -> None:
    doc = Mentions(sea.index)(sea.doc("a crab on a glass sponge"))
    assert [(span.text, span.label_) for span in doc.spans[MENTIONS]] == [
        ("crab", "crab"),
        ("glass sponge", "glass sponge"),
    ]
    assert [m.best.score for m in mentions_of(doc)] == [exact_score("exact")] * 2


def test_no_mentions_before_the_stage_has_run(sea: Listener) -> None:
    assert mentions_of(sea.doc("a crab")) == ()


def test_the_component_is_made_from_a_checklist_file(tmp_path: Path) -> None:
    nlp = build_language()
    nlp.add_pipe("earwitness_mentions", config={"checklist": str(write_checklist(tmp_path / "list.csv"))})
    doc = nlp("two crabs")
    assert [span.text for span in doc.spans[MENTIONS]] == ["crabs"]


def test_the_component_without_a_checklist_says_what_it_needs() -> None:
    with pytest.raises(ValueError, match="needs a checklist"):
        build_language().add_pipe("earwitness_mentions")


LINES = (
    "squat lobsters and a sea gooseberry, maybe E. antarctica",
    "chasey on a finneys by leopathies glabberima",
    "an octopus, L. pertusa, hexactinelid, ofiuroids, Munida cf. sarsi sp.",
)
SCRIPT = """
import sys
from pathlib import Path
from tests.mention.listed import listen
from tests.mention.test_find import told
sys.stdout.buffer.write(told(listen(Path(sys.argv[1]))).encode())
"""


def told(sea: Listener) -> str:
    similar = [sea.index.similar(key, 20) for key in ("munida", "sea", "coral", "antarctica", "affinis", "o")]
    return "\n".join(map(repr, [*(sea.hear(line) for line in LINES), *similar]))


def test_the_same_whatever_the_order_of_hashes(sea: Listener, tmp_path: Path) -> None:
    # This process has an order of its own, drawn at its start.
    seed = "2" if os.environ.get("PYTHONHASHSEED") == "1" else "1"
    run = subprocess.run(
        [sys.executable, "-c", SCRIPT, str(write_checklist(tmp_path / "list.csv"))],
        stdout=subprocess.PIPE,
        env={**os.environ, "PYTHONHASHSEED": seed},
        cwd=Path(__file__).resolve().parents[2],
        check=True,
    )
    here = told(sea)
    assert here.count("Mention(") > 7
    assert run.stdout.decode() == here
