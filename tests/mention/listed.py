"""A checklist of some sixty real taxa, written on the spot, and the short way from a sentence to its mentions.

Classification and vernaculars after WoRMS (marinespecies.org), from memory.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

from spacy.language import Language
from spacy.tokens import Doc

from earwitness.pipeline.mention import Candidate, Mention, find_mentions
from earwitness.pipeline.segment import build_language
from earwitness.taxonomy import NameIndex, load_checklist

# Indented below its parent: name | rank | vernaculars, or "= accepted name" for a synonym.
TAXA = """
Animalia|kingdom|animal
 Porifera|phylum|sponge
  Hexactinellida|class|glass sponge
   Rossellidae|family
    Rossella|genus
   Euplectellidae|family|Venus's flower basket, bird's nest sponge
 Cnidaria|phylum
  Anthozoa|class|coral
   Scleractinia|order|stony coral
    Caryophylliidae|family|cup coral
     Desmophyllum|genus
      Desmophyllum pertusum|species
       Lophelia pertusa|species|= Desmophyllum pertusum
   Antipatharia|order|black coral
    Leiopathidae|family
     Leiopathes|genus
      Leiopathes glaberrima|species
    Schizopathidae|family
     Schizopathes|genus
      Schizopathes affinis|species
  Hydrozoa|class
   Stylasteridae|family|lace coral
    Errina|genus
     Errina antarctica|species
 Ctenophora|phylum|comb jelly
  Pleurobrachiidae|family
   Pleurobrachia|genus
    Pleurobrachia pileus|species|sea gooseberry
 Arthropoda|phylum
  Malacostraca|class
   Decapoda|order|decapod
    Caridea|infraorder|shrimp
    Brachyura|infraorder|crab, crabs
     Geryonidae|family
      Chaceon|genus
       Chaceon affinis|species|deep-sea red crab
    Galatheoidea|superfamily
     Munididae|family|squat lobster
      Munida|genus
       Munida sarsi|species
       Munida rugosa|species
     Munidopsidae|family|squat lobster
      Munidopsis|genus
       Munidopsis serricornis|species
 Echinodermata|phylum
  Ophiuroidea|class|brittle star
   Ophiosphalmidae|family
    Ophiosphalma|genus
     Ophiosphalma glabrum|species
      Ophiomusium glabrum|species|= Ophiosphalma glabrum
  Crinoidea|class|crinoid, sea lily, feather star
  Asteroidea|class|sea star, starfish
  Holothuroidea|class|sea cucumber
 Mollusca|phylum
  Gastropoda|class|snail
   Dorididae|family
    Doris|genus
  Cephalopoda|class
   Octopoda|order|octopus
    Octopodidae|family|octopus
     Octopus|genus
 Chordata|phylum
  Actinopteri|class|fish
   Myctophidae|family|lanternfish
    Electrona|genus
     Electrona antarctica|species
   Soleidae|family|sole
    Solea|genus
  Elasmobranchii|class
   Rajiformes|order|ray, skate
  Ascidiacea|class|sea squirt
   Styelidae|family
    Dendrodoa|genus
     Dendrodoa grossularia|species|sea gooseberry
Plantae|kingdom
 Fabaceae|family
  Lens|genus
"""
HEADER = [
    "taxonID",
    "parentNameUsageID",
    "acceptedNameUsageID",
    "scientificName",
    "taxonRank",
    "taxonomicStatus",
    "vernacularName",
]


def write_checklist(path: Path, upside_down: bool = False) -> Path:
    """The taxa as a Darwin Core CSV file, from the top of the tree or from its tips."""
    above: list[str] = []
    rows = []
    for line in TAXA.strip("\n").split("\n"):
        name, rank, *rest = line.strip().split("|")
        depth = len(line) - len(line.lstrip())
        del above[depth:]
        note = rest[0] if rest else ""
        accepted, spoken = (note[2:], "") if note.startswith("= ") else (name, "|".join(note.split(", ")))
        status = "accepted" if accepted == name else "synonym"
        rows.append([name, above[-1] if above else "", accepted, name, rank, status, spoken])
        above.append(name)
    with path.open("w", encoding="utf-8", newline="") as out:
        table = csv.writer(out)
        table.writerow(HEADER)
        table.writerows(reversed(rows) if upside_down else rows)
    return path


@dataclass(frozen=True)
class Listener:
    """Finds the mentions of sentences over the checklist above."""

    index: NameIndex
    nlp: Language

    def doc(self, text: str) -> Doc:
        """The segmented Doc of bare text."""
        return self.nlp(text)

    def hear(self, text: str, own_words: Path | None = None) -> tuple[Mention, ...]:
        """The mentions of bare text."""
        return find_mentions(self.doc(text), self.index, own_words)

    def one(self, text: str) -> Mention:
        """The only mention of bare text."""
        (mention,) = self.hear(text)
        return mention

    def names(self, text: str) -> list[tuple[str, str]]:
        """The words of every mention, and the accepted name they most likely mean."""
        return [(mention.text, self.name(mention.best)) for mention in self.hear(text)]

    def name(self, candidate: Candidate) -> str:
        """The accepted name of a candidate."""
        return self.index.checklist.taxon(candidate.row).scientific_name

    def said(self, candidate: Candidate) -> str:
        """The name that was said, a synonym where one was."""
        return self.index.checklist.taxon(candidate.said_row).scientific_name


def listen(path: Path) -> Listener:
    """A Listener over a checklist file."""
    return Listener(NameIndex(load_checklist(path)), build_language())
