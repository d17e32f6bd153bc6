"""Invented talk through the language stages, over a checklist of some fifty taxa: shared by judge and settle tests."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from spacy.language import Language
from spacy.tokens import Doc

from earwitness.pipeline.judge import Judgement, judge_by_rules
from earwitness.pipeline.mention import Mention, find_mentions
from earwitness.pipeline.people import PersonName
from earwitness.pipeline.read.transcript import Cue, Transcript
from earwitness.pipeline.segment import segment
from earwitness.pipeline.settle import Note, Sighting, settle, take_notes
from earwitness.taxonomy import Checklist, NameIndex, load_checklist

# name | rank | vernaculars (comma-separated) ; a name's parent is the last one above it of a higher rank.
TAXA = """
Animalia|kingdom
 Porifera|phylum|sponge
  Hexactinellida|class|glass sponge
   Euplectellidae|family
    Walteria|genus
     Walteria leuckarti|species
    Euplectella|genus
  Demospongiae|class|demosponge
 Cnidaria|phylum|cnidarian
  Hydrozoa|class|hydrozoan
   Siphonophorae|order|siphonophore
  Anthozoa|class
   Actiniaria|order|sea anemone,anemone
    Hormathiidae|family|flytrap anemone
     Actinoscyphia|genus
   Scleractinia|order|stony coral
    Caryophylliidae|family|cup coral
     Desmophyllum|genus
      Desmophyllum pertusum|species
      Desmophyllum dianthus|species
   Antipatharia|order|black coral
    Schizopathidae|family
     Bathypathes|genus
     Parantipathes|genus
 Mollusca|phylum
  Gastropoda|class|snail
  Cephalopoda|class
   Octopoda|order|octopus
    Opisthoteuthidae|family
     Grimpoteuthis|genus|dumbo octopus
   Oegopsida|order|squid
 Arthropoda|phylum
  Malacostraca|class
   Isopoda|order|isopod
   Decapoda|order
    Caridea|infraorder|shrimp
    Brachyura|infraorder|crab
    Nephropidae|family|lobster
     Nephrops|genus
      Nephrops norvegicus|species|Norway lobster
    Palinuridae|family
     Projasus|genus
      Projasus parkeri|species|Cape jagged lobster
    Munididae|family|squat lobster
     Munida|genus
      Munida sarsi|species
      Munida rugosa|species
 Echinodermata|phylum|echinoderm
  Asteroidea|class|sea star
   Brisingidae|family|brisingid
  Ophiuroidea|class|brittle star
   Euryalida|order
    Gorgonocephalidae|family|basket star
     Gorgonocephalus|genus
  Crinoidea|class|crinoid
  Echinoidea|class|sea urchin,urchin
   Cidaridae|family
    Cidaris|genus
     Cidaris cidaris|species
  Holothuroidea|class|sea cucumber
   Pelagothuriidae|family
    Enypniastes|genus
     Enypniastes eximia|species
 Chordata|phylum
  Actinopterygii|class|fish
   Lophiiformes|order|anglerfish
    Chaunacidae|family|coffinfish
   Gadiformes|order
    Macrouridae|family|rattail
     Coryphaenoides|genus
      Coryphaenoides rupestris|species
  Chondrichthyes|class
   Chimaeriformes|order|chimaera
   Squaliformes|order
"""


def write_checklist(folder: Path) -> Path:
    """The taxa as a Darwin Core Taxon table."""
    lines = ["taxonID,parentNameUsageID,scientificName,taxonRank,vernacularName"]
    above: list[int] = []
    for number, line in enumerate(TAXA.strip("\n").splitlines(), start=1):
        depth = len(line) - len(line.lstrip())
        name, rank, *vernaculars = line.strip().split("|")
        del above[depth:]
        parent = f"T{above[-1]}" if above else ""
        above.append(number)
        lines.append(f"T{number},{parent},{name},{rank},{'|'.join(v.replace(',', '|') for v in vernaculars)}")
    path = folder / "checklist.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def load_index(folder: Path) -> NameIndex:
    return NameIndex(load_checklist(write_checklist(folder)))


@dataclass(frozen=True)
class Heard:
    """What the stages made of some talk, with names in place of checklist rows."""

    doc: Doc
    mentions: tuple[Mention, ...]
    judgements: tuple[Judgement, ...]
    sightings: tuple[Sighting, ...]
    notes: tuple[Note, ...]
    checklist: Checklist

    @property
    def statuses(self) -> list[str]:
        return [judgement.status for judgement in self.judgements]

    @property
    def names(self) -> list[str]:
        """The name each sighting was left with."""
        return [self.name(sighting.row) for sighting in self.sightings]

    def name(self, row: int | None) -> str:
        return "" if row is None else self.checklist.taxon(row).scientific_name

    def steps(self, number: int = 0) -> list[tuple[str, str]]:
        """Step and name of a sighting's determinations, in order."""
        return [(d.step, self.name(d.row)) for d in self.sightings[number].determinations]

    def counts(self) -> list[tuple[str, str] | None]:
        return [(s.count.quantity, s.count.kind) if s.count else None for s in self.sightings]


class Listener:
    """Runs talk through segment, mention, judge and settle."""

    def __init__(self, index: NameIndex, nlp: Language):
        self.index, self.nlp = index, nlp

    def __call__(self, *talk: str | tuple[str, str] | tuple[str, str, float], own_words: Path | None = None) -> Heard:
        """Talk through all stages; see `judged` for what each argument is."""
        doc, mentions, judgements = self.judged(*talk, own_words=own_words)
        sightings = settle(doc, mentions, judgements, self.index.checklist)
        notes = take_notes(doc, mentions, own_words)
        return Heard(doc, mentions, judgements, sightings, notes, self.index.checklist)

    def judged(
        self,
        *talk: str | tuple[str, str] | tuple[str, str, float],
        own_words: Path | None = None,
        people: tuple[PersonName, ...] = (),
    ) -> tuple[Doc, tuple[Mention, ...], tuple[Judgement, ...]]:
        """Talk as far as the judge stage.

        Each argument is a caption of its own: text, or (speaker, text), or (speaker, text, silence before it, s).
        A caption lasts 0.3 s a word, and one second is silent before the next unless said otherwise.
        """
        cues, now = [], 0.0
        for item in talk:
            speaker, text, silence = ("A", item, 1.0) if isinstance(item, str) else (*item, 1.0)[:3]
            now += silence
            end = now + max(0.3 * len(text.split()), 0.3)
            cues.append(Cue(now, end, text, speaker=speaker))
            now = end
        doc = segment(Transcript("invented", "invented.vtt", "webvtt", "utf-8", "", tuple(cues)), self.nlp)
        mentions = find_mentions(doc, self.index)
        return doc, mentions, judge_by_rules(doc, mentions, own_words, people)


def statuses(hear: Listener, *talk: str | tuple[str, str]) -> str:
    """Statuses of the names in captions, with blanks between."""
    _, _, judgements = hear.judged(*talk)
    return " ".join(judgement.status for judgement in judgements)


def raw(text: str) -> str:
    """A caption without punctuation and capitals, as raw captions are."""
    return re.sub(r"[^\w\s'-]", "", text).lower()
