"""The rules by which a sighting's name changes: refined, retreated, corrected, retracted, held between two offers."""

from __future__ import annotations

from dataclasses import dataclass, field

from earwitness.pipeline.judge import Judgement
from earwitness.pipeline.mention import Candidate, Mention
from earwitness.pipeline.settle.sighting import Count, Determination, Step
from earwitness.pipeline.settle.turns import Turn
from earwitness.taxonomy import Checklist

TAKEN_AS_STANDING = 0.55
"""A finer name is taken when it is said as probable at least; below it is kept as an offer (certainty_terms.csv)."""
_RANKS_ASKED_FOR = ("genus", "family", "order", "class", "phylum")
_SHARED_UP_TO = {"genus", "subgenus", "family", "subfamily", "superfamily", "order", "suborder", "infraorder"}


@dataclass(slots=True)
class Open:
    """A sighting while the talk about it goes on."""

    row: int
    said: int
    certainty: float
    qualifier: str | None
    mentions: list[int]
    steps: list[Determination]
    last_time: float
    count: Count | None = None
    numbered: bool = False
    words: set[str] = field(default_factory=set)
    withdrawn: bool = False
    offers: list[int] = field(default_factory=list)

    def note(self, row: int | None, mention: int, step: Step, certainty: float) -> None:
        """Write a step down."""
        self.steps.append(Determination(row, mention, step, certainty))

    def stand(self, row: int, mention: int, certainty: float, step: Step, qualifier: str | None) -> None:
        """Let another name stand."""
        self.row, self.said, self.certainty, self.qualifier = row, mention, certainty, qualifier
        self.withdrawn = False
        self.note(row, mention, step, certainty)


def related(checklist: Checklist, a: int, b: int) -> bool:
    """Whether one taxon holds the other, or they are the same."""
    return checklist.is_same_or_ancestor(a, b) or checklist.is_same_or_ancestor(b, a)


def shared_group(checklist: Checklist, a: int, b: int) -> int | None:
    """The lowest taxon above both, None where it would be wider than an order."""
    for row in (a, *checklist.lineage(a)):
        if checklist.is_same_or_ancestor(row, b):
            return row if checklist.taxon(row).rank in _SHARED_UP_TO else None
    return None


def same_word(checklist: Checklist, to: Open, candidate: Candidate) -> bool:
    """Whether "the lobster" is what is also called "Cape jagged lobster", though the checklist has lobsters elsewhere.

    True where a vernacular of one taxon ends in the group word that was said for the other.
    """
    return _ends_in(checklist, candidate.row, to.words) or _ends_in(checklist, to.row, group_word(checklist, candidate))


def _ends_in(checklist: Checklist, row: int, words: set[str]) -> bool:
    names = [name.lower() for name in checklist.taxon(row).vernaculars]
    return any(name.endswith(f" {word}") for name in names for word in words)


def group_word(checklist: Checklist, candidate: Candidate) -> set[str]:
    """The vernacular that was said, none for a scientific name."""
    if candidate.matched == checklist.taxon(candidate.said_row).scientific_name:
        return set()
    return {candidate.matched.lower()}


def join(checklist: Checklist, to: Open, number: int, mention: Mention, judgement: Judgement, turn: Turn) -> None:
    """Take one more mention into an open sighting, and let it change the name by the rules."""
    row, certainty = mention.best.row, judgement.certainty or 0.0
    to.mentions.append(number)
    heard = group_word(checklist, mention.best)
    if to.withdrawn:
        to.stand(row, number, certainty, "corrected", mention.qualifier)
    elif row == to.row:
        _repeat(to, number, mention, judgement)
    elif checklist.is_same_or_ancestor(to.row, row):
        if certainty >= TAKEN_AS_STANDING and not turn.alternative:
            to.stand(row, number, certainty, "refined", mention.qualifier)
        else:
            to.offers.append(row)
            to.note(row, number, "offered", certainty)
    elif checklist.is_same_or_ancestor(row, to.row):
        if turn.retreats:
            to.stand(row, number, certainty, "retreated", mention.qualifier)
    elif same_word(checklist, to, mention.best):
        # The name whose vernacular says more stands, whichever came first.
        if _ends_in(checklist, row, to.words) and certainty >= TAKEN_AS_STANDING:
            to.stand(row, number, certainty, "refined", mention.qualifier)
    elif (turn.corrects and judgement.status != "asked") or _was_called(to, row, judgement):
        to.stand(row, number, certainty, "corrected", mention.qualifier)
    else:
        _alternative(checklist, to, number, mention, certainty)
    to.words |= heard


def _was_called(to: Open, row: int, judgement: Judgement) -> bool:
    """Whether a speaker goes back, as a statement, to a name that stood before and was not refused."""
    stood = {s.row for s in to.steps if s.step in ("named", "refined", "corrected", "confirmed")}
    refused = {s.row for s in to.steps if s.step == "retracted"}
    return judgement.status == "observed" and row in stood - refused


def _repeat(to: Open, number: int, mention: Mention, judgement: Judgement) -> None:
    """The standing name said again: a statement settles what was asked or guessed; doubt said later lowers it."""
    certainty = judgement.certainty or 0.0
    if judgement.status == "observed" and certainty > to.certainty:
        to.certainty, to.said = certainty, number
        to.note(to.row, number, "confirmed", certainty)
    elif judgement.status == "hedged" and certainty < to.certainty:
        to.certainty, to.said = certainty, number
        to.note(to.row, number, "named", certainty)
    to.qualifier = mention.qualifier or to.qualifier


def _alternative(checklist: Checklist, to: Open, number: int, mention: Mention, certainty: float) -> None:
    """Another name beside the standing one, neither refused: the group that holds both stands."""
    both = shared_group(checklist, to.row, mention.best.row)
    to.offers.append(mention.best.row)
    if both is None or certainty < to.certainty:
        to.note(mention.best.row, number, "offered", certainty)
    else:
        to.offers.append(to.row)
        to.note(mention.best.row, number, "alternative", certainty)
        to.row, to.qualifier = both, None


def retract(checklist: Checklist, to: Open, number: int, row: int) -> None:
    """A denial: whatever the sighting was called at or below this taxon no longer stands."""
    held = [
        step
        for step in to.steps
        if step.row is not None
        and not checklist.is_same_or_ancestor(row, step.row)
        and step.step not in ("offered", "alternative", "retracted")
    ]
    to.note(row, number, "retracted", 0.0)
    if not checklist.is_same_or_ancestor(row, to.row):
        _let_the_other_stand(checklist, to, row)
        return
    if held:
        to.row, to.said, to.certainty, to.qualifier = (
            held[-1].row or 0,
            held[-1].mention,
            held[-1].certainty,
            None,
        )
    else:
        to.withdrawn = True


def _let_the_other_stand(checklist: Checklist, to: Open, refused: int) -> None:
    """Of two alternatives under a group one was refused: the other stands."""
    offered = [s for s in to.steps if s.row in to.offers and s.step in ("alternative", "named", "refined", "offered")]
    left = [s for s in offered if s.row is not None and not checklist.is_same_or_ancestor(refused, s.row)]
    if refused in to.offers and len({s.row for s in left}) == 1 and left[-1].row is not None:
        to.stand(left[-1].row, left[-1].mention, left[-1].certainty, "confirmed", None)


def agree(to: Open, certainty: float, asked: bool) -> None:
    """A yes: a name that was `asked` last stands, with the certainty of a plain statement."""
    last, mention = to.steps[-1], to.mentions[-1]
    if asked and last.step == "offered" and last.mention == mention and last.row is not None:
        to.stand(last.row, mention, certainty, "confirmed", None)
    elif to.certainty < certainty:
        to.certainty = certainty
        to.note(to.row, mention, "confirmed", certainty)


def retreat_to_rank(checklist: Checklist, to: Open, rank: str) -> None:
    """ "Genus only": the ancestor of that rank stands; nothing happens where the name is already as high."""
    if rank not in _RANKS_ASKED_FOR:
        return
    for row in checklist.lineage(to.row):
        if checklist.taxon(row).rank == rank:
            to.stand(row, to.said, max(to.certainty, TAKEN_AS_STANDING), "retreated", None)
            return
