"""Taxonomy: a checklist file comes in; taxa, lineages and name look-ups by spoken words go out. No network, ever.

Refuses a file without names, with one error that says which columns it has and which it should.
"""

from earwitness.taxonomy.asking import Suggestion, ask
from earwitness.taxonomy.checklist import Checklist, Taxon
from earwitness.taxonomy.corrections import Corrections, corrections_file, corrections_path, load_corrections
from earwitness.taxonomy.entries import LONGEST_NAME, NameEntry
from earwitness.taxonomy.index_store import open_index
from earwitness.taxonomy.load import load_checklist
from earwitness.taxonomy.lookup import Found, search, warm_up
from earwitness.taxonomy.name_index import NameIndex
from earwitness.taxonomy.name_score import exact_score
from earwitness.taxonomy.names import ParsedName, parse_name

__all__ = [
    "LONGEST_NAME",
    "Checklist",
    "Corrections",
    "Found",
    "NameEntry",
    "NameIndex",
    "ParsedName",
    "Suggestion",
    "Taxon",
    "ask",
    "corrections_file",
    "corrections_path",
    "exact_score",
    "load_checklist",
    "load_corrections",
    "open_index",
    "parse_name",
    "search",
    "warm_up",
]
