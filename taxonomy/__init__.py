"""Taxonomy: a checklist file comes in; taxa, lineages and name look-ups by spoken words go out. No network, ever.

Refuses a file without names, with one error that says which columns it has and which it should.
"""

from earwitness.taxonomy.checklist import Checklist, Taxon
from earwitness.taxonomy.load import load_checklist
from earwitness.taxonomy.name_index import LONGEST_NAME, NameEntry, NameIndex
from earwitness.taxonomy.name_score import Likeness, exact_score, similar_score
from earwitness.taxonomy.names import ParsedName, parse_name

__all__ = [
    "LONGEST_NAME",
    "Checklist",
    "Likeness",
    "NameEntry",
    "NameIndex",
    "ParsedName",
    "Taxon",
    "exact_score",
    "load_checklist",
    "parse_name",
    "similar_score",
]
