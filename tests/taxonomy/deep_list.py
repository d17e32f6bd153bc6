"""Some sixty names of deep-sea animals to hear among: real taxa, names and synonyms after WoRMS from memory."""

from __future__ import annotations

import csv
from pathlib import Path

from earwitness.taxonomy import NameIndex, load_checklist

# name, rank, vernaculars; "= name" for a synonym.
NAMES = """
Animalia kingdom
Hexactinellida class: glass sponge
Euplectella aspergillum species: Venus's flower basket
Hyalonema genus
Farrea occa species
Octocorallia class: soft coral
Paragorgia arborea species: bubblegum coral
Callogorgia genus
Chrysogorgia genus
Iridogorgia genus
Anthomastus genus
Sinularia genus
Sinularia ultima species
Sinularia flexibilis species
Sarcophyton glaucum species
Umbellula genus: sea pen
Pennatula aculeata species
Kophobelemnon genus
Desmophyllum pertusum species: cold-water coral
Lophelia pertusa species = Desmophyllum pertusum
Madrepora oculata species
Solenosmilia variabilis species
Actinoscyphia genus
Cerianthus genus
Periphylla periphylla species: helmet jelly
Solmissus genus
Nanomia bijuga species
Gammaridae family
Gammarus genus
Gammarus decorosus species
Gammarus locusta species
Chaceon genus
Chaceon affinis species: deep-sea red crab
Chaceon quinquedens species
Geryon trispinosus species
Munididae family: squat lobster
Munidopsidae family: squat lobster
Munida sarsi species
Munidopsis serricornis species
Bathynomus giganteus species: giant isopod
Grimpoteuthis genus: dumbo octopus
Cirroteuthis muelleri species
Vampyroteuthis infernalis species: vampire squid
Enypniastes eximia species: headless chicken monster
Psychropotes longicauda species
Scotoplanes globosa species: sea pig
Brisinga genus
Hymenaster genus
Ophiomusa lymani species
Gorgonocephalus genus: basket star
Bathysaurus ferox species
Coryphaenoides armatus species
Antimora rostrata species
Hoplostethus atlanticus species: orange roughy
Chimaera monstrosa species: rabbit fish
Somniosus microcephalus species: Greenland shark
"""
RANKS = ("kingdom", "class", "family", "genus", "species")

JUNK = [
    "",
    " ",
    "\n",
    "a",
    "q",
    "7",
    "300",
    "three hundred and twelve",
    "Ærøskøbing œuvre ß",
    "Čtyři žluťoučcí",
    "Χαρύβδις",
    "кальмар",
    "海綿動物",
    "海 sponge 綿",
    "́̂",
    "\ud800",
    "a\0b",
    "!?…",
    "w" * 60,
    "bathynomusgiganteus" * 4,
    "the and of " * 30,
    "qz" * 5000,
]
"""Words that are no names, in many letters, the shortest and the longest."""


def write_names(path: Path, names: str = NAMES) -> Path:
    """A checklist of these lines."""
    with path.open("w", encoding="utf-8", newline="") as out:
        table = csv.writer(out)
        table.writerow(["taxonID", "scientificName", "taxonRank", "acceptedNameUsageID", "vernacularName"])
        for line in names.strip().splitlines():
            head, _, spoken = line.partition(": ")
            head, _, accepted = head.partition(" = ")
            words = head.split()
            rank = words.pop() if words[-1] in RANKS else ""
            name = " ".join(words)
            table.writerow([name, name, rank, accepted or name, spoken])
    return path


def index_of(path: Path, names: str = NAMES) -> NameIndex:
    """The index of these lines."""
    return NameIndex(load_checklist(write_names(path, names)))


def name_of(index: NameIndex, row: int) -> str:
    """Scientific name of a row."""
    return index.checklist.taxon(row).scientific_name
