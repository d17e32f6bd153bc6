"""What was named elsewhere on a dive raises the taxa it speaks for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earwitness.pipeline.mention.context import Context
from earwitness.pipeline.mention.exact import ExactNames
from earwitness.pipeline.mention.heard import HeardNames
from earwitness.pipeline.mention.mentions import Candidate
from earwitness.pipeline.mention.span_model import SpanModel
from earwitness.pipeline.mention.spans import Found
from earwitness.pipeline.mention.spoken_words import spoken_words
from earwitness.pipeline.mention.trees import Trees, read_trees
from earwitness.pipeline.words import word_rows

from .listed import Listener, listen

NATS = {row["term"]: row.number("nats") for row in word_rows("context")}
REACH = int(NATS["groupWords"])
HERE = (100, 102)


def row_of(sea: Listener, name: str) -> int:
    (row,) = sea.index.checklist.find(name)
    return row


def named(sea: Listener, *places: tuple[str, int]) -> Context:
    """A context in which names were said, each at a word."""
    spans = [Found(at, at + 1, (Candidate(row_of(sea, n), row_of(sea, n), n, "exact", 0.9),)) for n, at in places]
    return Context(sea.index.checklist, spans)


def test_all_terms_raise() -> None:
    assert set(NATS) == {"taxon", "genus", "group", "groupWords"}
    assert NATS["taxon"] > NATS["genus"] > 0
    assert NATS["group"] > 0


@pytest.mark.parametrize(
    ("said", "heard", "nats"),
    [
        (("Munida sarsi", 3), "Munida sarsi", NATS["taxon"]),
        (("Munida sarsi", 900), "Munida sarsi", NATS["taxon"]),
        (("Munida", 3), "Munida", NATS["taxon"]),
        (("Munida", 3), "Munida sarsi", NATS["genus"]),
        (("Munida rugosa", 3), "Munida sarsi", NATS["genus"]),
        (("Munida rugosa", 3), "Munida", NATS["genus"]),
        (("Munidopsis", 3), "Munida sarsi", 0),
        (("Decapoda", 100 - REACH), "Munida sarsi", NATS["group"]),
        (("Decapoda", 101 + REACH), "Munida sarsi", NATS["group"]),
        (("Decapoda", 100 - REACH - 1), "Munida sarsi", 0),
        (("Decapoda", 102 + REACH), "Munida sarsi", 0),
        (("Munididae", 99), "Munida", NATS["group"]),
        (("Porifera", 99), "Munida sarsi", 0),
        (("Munida sarsi", 99), "Decapoda", 0),
        (("Munida sarsi", 100), "Munida sarsi", 0),
        (("Munida", 101), "Munida sarsi", 0),
        (("Decapoda", 101), "Munida sarsi", 0),
    ],
)
def test_what_a_name_elsewhere_speaks_for(sea: Listener, said: tuple[str, int], heard: str, nats: float) -> None:
    assert named(sea, said).nats(row_of(sea, heard), HERE) == pytest.approx(nats)


def test_nothing_named_raises_nothing(sea: Listener) -> None:
    assert named(sea).nats(row_of(sea, "Munida"), HERE) == 0


def test_the_taxon_counts_once_and_a_group_besides(sea: Listener) -> None:
    often = named(sea, ("Munida sarsi", 3), ("Munida sarsi", 40), ("Munida", 50), ("Decapoda", 95), ("Munididae", 98))
    assert often.nats(row_of(sea, "Munida sarsi"), HERE) == pytest.approx(NATS["taxon"] + NATS["group"])


def test_a_synonym_speaks_for_its_accepted_taxon(sea: Listener) -> None:
    words = spoken_words(sea.doc("a Lophelia pertusa there"))
    context = Context(sea.index.checklist, ExactNames(sea.index).find(words, []))
    assert context.nats(row_of(sea, "Desmophyllum pertusum"), HERE) == pytest.approx(NATS["taxon"])


@given(st.lists(st.tuples(st.sampled_from(["Munida", "Munida sarsi", "Decapoda", "Porifera"]), st.integers(0, 200))))
def test_it_does_not_matter_in_which_order_names_are_added(sea: Listener, places: list[tuple[str, int]]) -> None:
    rows = [row_of(sea, name) for name in ("Munida", "Munida sarsi", "Munida rugosa", "Decapoda", "Hexactinellida")]
    forwards, backwards = named(sea, *places), named(sea, *reversed(places))
    told = [forwards.nats(row, HERE) for row in rows]
    assert told == [backwards.nats(row, HERE) for row in rows]
    assert all(0 <= nats <= NATS["taxon"] + NATS["group"] for nats in told)


# Galathea Fabricius, 1793 (a squat lobster) and Galatea Bruguiere, 1797 (a clam) sound nearly alike. From memory.
ALIKE = """\
taxonID,parentNameUsageID,scientificName,taxonRank,vernacularName
1,,Galatheidae,family,squat lobster
2,1,Galathea,genus,
3,2,Galathea strigosa,species,
4,,Donacidae,family,clam
5,4,Galatea,genus,
6,5,Galatea paradoxa,species,
"""


@dataclass(frozen=True)
class Alike:
    """Hears words after other words, each window being believed as far as its best name's share allows."""

    talk: Listener
    heard: HeardNames

    def candidates(self, before: str, word: str) -> dict[str, float]:
        """The names of the last word with their scores, best first."""
        words = spoken_words(self.talk.doc(f"{before} {word}."))
        exact = ExactNames(self.talk.index).find(words, [])
        (span,) = (f for f in self.heard.find(words, exact) if f.first == len(words) - 1)
        return {self.talk.name(candidate): candidate.score for candidate in span.candidates}


@pytest.fixture(scope="module")
def alike(tmp_path_factory: pytest.TempPathFactory) -> Alike:
    path = tmp_path_factory.mktemp("alike") / "alike.csv"
    path.write_text(ALIKE, encoding="utf-8")
    talk = listen(path)

    def passing(bias: float = 0.0) -> Trees:
        leaf = {"tree": "0", "feature": "", "value": "0", "lower": "", "higher": ""}
        return read_trees([leaf], (), bias)

    return Alike(talk, HeardNames(talk.index, SpanModel(passing(), passing(), passing(9.0))))


@pytest.mark.parametrize("word", ["galateeya", "galatayah"])
def test_a_taxon_named_before_leads_where_two_sound_alike(alike: Alike, word: str) -> None:
    plain = alike.candidates("We see something.", word)
    first, second = list(plain)[:2]
    assert {first, second} == {"Galathea", "Galatea"}
    assert plain[second] > plain[first] * np.exp(-NATS["taxon"])
    after = alike.candidates(f"We see {second}.", word)
    assert list(after)[:2] == [second, first]
    assert list(alike.candidates(f"We see {first}.", word))[:2] == [first, second]


@pytest.mark.parametrize("word", ["galateeya", "galatayah"])
@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("Galathea", "Galathea strigosa"),
        ("Galatea", "Galatea paradoxa"),
        ("Galathea", "squat lobster"),
        ("Galatea", "clam"),
    ],
)
def test_a_species_of_the_genus_and_a_group_nearby_raise_it(alike: Alike, word: str, name: str, said: str) -> None:
    other = {"Galathea": "Galatea", "Galatea": "Galathea"}[name]

    def odds(scores: dict[str, float]) -> float:
        return scores[name] / scores[other]

    plain, after = (odds(alike.candidates(f"We see {what}.", word)) for what in ("something", said))
    assert after > 1.5 * plain


def test_a_group_named_long_before_raises_nothing(alike: Alike) -> None:
    filler = " ".join(["and on it goes."] * REACH)
    far = alike.candidates(f"We see clam. {filler}", "galateeya")
    plain = alike.candidates(f"We see something. {filler}", "galateeya")
    assert far == plain
