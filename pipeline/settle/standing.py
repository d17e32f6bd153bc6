"""The rules by which a sighting's name changes: refined, retreated, corrected, retracted, held between two offers."""

from __future__ import annotations

from dataclasses import dataclass

from earwitness.pipeline.judge import Judgement
from earwitness.pipeline.judge.judgement import PLAIN_STATEMENT
from earwitness.pipeline.mention import Candidate, Mention
from earwitness.pipeline.settle.open import SURE, UNSETTLED, Open, related
from earwitness.pipeline.settle.turns import Turn
from earwitness.taxonomy import Checklist

_GIVEN = 0.38
"""A name that is called possible is given, one that "can't be excluded" is not (claims.csv)."""
_RANKS_ASKED_FOR = ("genus", "family", "order", "class", "phylum")
_NO_LOWER = {"sp.", "spp.", "indet.", "sp. indet.", "stet.", "sp. stet."}
"""Signs that say of a genus that no species of it is named."""
_NARROW = {"species", "subspecies", "genus", "subgenus", "family", "subfamily"}
_SHARED_UP_TO = {"genus", "subgenus", "family", "subfamily", "superfamily", "order", "suborder", "infraorder"}


@dataclass(frozen=True, slots=True)
class Said:
    """One more mention of a sighting, with what its turn does.

    Args:
        number: of the mention.
        follows: whether the name that stands was said in the same sentence.
        bare: nothing else is said in its sentence.
        by_other: somebody else says it than who named the animal last.
    """

    number: int
    mention: Mention
    judgement: Judgement
    turn: Turn
    follows: bool = False
    bare: bool = False
    by_other: bool = False

    @property
    def row(self) -> int:
        """The row of its name."""
        return self.mention.best.row

    @property
    def certainty(self) -> float:
        """How sure the speaker is."""
        return self.judgement.certainty or 0.0

    @property
    def asked(self) -> bool:
        """Whether it is a question."""
        return self.judgement.status == "asked"


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


def join(checklist: Checklist, to: Open, said: Said) -> None:
    """Take one more mention into an open sighting, and let it change the name by the rules."""
    row, certainty, sign = said.row, said.certainty, said.mention.qualifier
    last = to.last_said
    to.mentions.append(said.number)
    # What the logger is told to write is the last word.
    decided = said.turn.retreats or (to.logging and not said.asked)
    # "Phycis, then." takes back no species that nobody questioned.
    decided = decided or (said.turn.closes and (bool(to.offers) or not to.stated_surely))
    if to.withdrawn:
        to.stand(row, said.number, certainty, "corrected", sign)
    elif row == to.row:
        _repeat(to, said)
    elif _is_read_back(to, said, last):
        to.stand(row, said.number, certainty, "confirmed", sign)
    elif checklist.is_same_or_ancestor(to.row, row):
        _finer(checklist, to, said)
    elif checklist.is_same_or_ancestor(row, to.row):
        if _is_the_latin_name(checklist, to, said):
            _repeat(to, said)
        elif not said.turn.place and (decided or _goes_back(checklist, to, said)):
            to.stand(row, said.number, certainty, "retreated", sign)
        elif said.turn.agrees and said.by_other and not (to.stated or said.asked):
            # "Is that Munida sarsi?" "Yes, that squat lobster again."
            agree(to, certainty, takes_offer=True)
    elif same_word(checklist, to, said.mention.best):
        # The name whose vernacular says more stands, whichever came first.
        if _ends_in(checklist, row, to.words) and certainty >= SURE:
            to.stand(row, said.number, certainty, "refined", sign)
    elif (
        _changes(to, said, shared_group(checklist, to.row, row) is None)
        or _takes_the_group(checklist, to, said)
        or (decided and (to.logging or to.called(row)))
    ):
        _correct(checklist, to, said)
    else:
        _alternative(checklist, to, said)
    to.words |= group_word(checklist, said.mention.best)
    to.last_said = None if said.asked else row
    if not said.asked:
        to.stated, to.logging = True, False


def _is_the_latin_name(checklist: Checklist, to: Open, said: Said) -> bool:
    """ "A box crab?" "Paromola.": the genus said for what a vernacular named, and no doubt about the species."""
    if said.mention.qualifier or said.turn.retreats or group_word(checklist, said.mention.best):
        return False
    taxon = checklist.taxon(to.row)
    common = any(name.lower() in to.words for name in taxon.vernaculars)
    return common and (taxon.rank, checklist.taxon(said.row).rank) == ("species", "genus")


def _goes_back(checklist: Checklist, to: Open, said: Said) -> bool:
    """Whether a name above the standing one takes its place."""
    no = said.turn.corrects and bool(said.turn.subject)
    # "Pachycara, maybe." "An eelpout, anyhow.": over a mere guess the group that is stated stands.
    stated = to.certainty < SURE <= said.certainty or said.mention.qualifier in _NO_LOWER
    stated = stated and not (said.asked or said.turn.agrees)
    wider = stated or _answers_more_widely(to, said) or _is_less_sure(checklist, to, said)
    return no or wider or _holds_the_rivals(checklist, to, said.row) or _gives_way(checklist, to, said)


def _holds_the_rivals(checklist: Checklist, to: Open, row: int) -> bool:
    """A group named while two names below it are in dispute is what both accept."""
    return bool(to.rivals) and all(checklist.is_same_or_ancestor(row, rival) for rival in to.rivals)


def holds_the_offers(checklist: Checklist, to: Open, row: int) -> bool:
    """Whether a group holds every name that was offered beside the standing one: of them, it can be said."""
    left = [offer for offer in to.offers if offer not in to.refused]
    return bool(left) and all(checklist.is_same_or_ancestor(row, offer) for offer in left)


def _takes_the_group(checklist: Checklist, to: Open, said: Said) -> bool:
    """ "Which family?" "Aristeidae.": a plain statement that holds all that was offered, and not the first word."""
    return said.judgement.status == "observed" and said.bare and holds_the_offers(checklist, to, said.row)


def _is_read_back(to: Open, said: Said, last: int | None) -> bool:
    """Of several names in dispute, the one that somebody else says again right behind the last who said it."""
    return last == said.row and said.by_other and bool(to.rivals) and not said.asked


def _answers_more_widely(to: Open, said: Said) -> bool:
    """ "Are those Psolus?" "Sea cucumbers.": of a name that was only asked, the answer gives what can be said."""
    return not to.stated and not said.asked and said.by_other and not said.turn.agrees


def _is_less_sure(checklist: Checklist, to: Open, said: Said) -> bool:
    """A doubt about the genus is one about its species, too: who says it no longer holds the finer name."""
    scientific = not group_word(checklist, said.mention.best)
    return scientific and said.judgement.status == "hedged" and 0.0 < said.certainty < min(to.certainty, SURE)


def _gives_way(checklist: Checklist, to: Open, said: Said) -> bool:
    """A scientific name above the standing one, said alone after others were offered: "Siboglinidae."."""
    return said.bare and bool(to.offers) and not group_word(checklist, said.mention.best) and not said.asked


def _finer(checklist: Checklist, to: Open, said: Said) -> None:
    """A name below the standing one: taken if it is said as probable at least, or is all that was said of a genus."""
    row, number, certainty = said.row, said.number, said.certainty
    said_again = bool(to.stop) and row in to.stood and not (said.turn.subject or said.turn.corrects)
    # "Munida aff. sarsi": the sign says the doubt, and goes with the name.
    signed = said.mention.qualifier in ("cf.", "aff.")
    sure = (certainty >= SURE or signed) and not said.asked and not said.turn.alternative and not said_again
    if sure or _only_name(checklist, to, said):
        to.stand(row, number, certainty, "refined", said.mention.qualifier)
    else:
        to.offers.append(row)
        to.note(row, number, "offered", certainty)
        if not said.asked:
            to.doubted.add(row)


def _only_name(checklist: Checklist, to: Open, said: Said) -> bool:
    """ "A medusa, Crossota possibly": a doubtful genus beside a group wider than an order is the name given."""
    ranks = checklist.taxon(to.row).rank, checklist.taxon(said.row).rank
    wide, fine = ranks[0] not in _SHARED_UP_TO | _NARROW, ranks[1] in _NARROW - {"species", "subspecies"}
    plain = said.judgement.status == "hedged" and not said.turn.alternative
    return said.follows and plain and wide and fine and not to.offers and said.certainty >= _GIVEN


def _changes(to: Open, said: Said, apart: bool) -> bool:
    """Whether another name, neither above nor below (`apart`: no group holds both), takes the standing one's place."""
    if said.asked:
        return False
    observed = said.judgement.status == "observed"
    answers = to.is_open and (observed or said.certainty > to.certainty) and bool(said.turn.subject)
    # "A sponge, maybe?" "Sea squirt.": whoever only says the name says it for sure.
    answers = answers or (observed and said.bare and said.by_other and not to.stated_surely)
    # "A sponge?" "Anemone.": nobody had stated anything; a guess is overruled by whoever makes none.
    unstated = said.by_other and not to.stated and not said.turn.alternative and (observed or apart)
    answers = answers or unstated or (observed and to.is_open and not said.turn.alternative)
    surer = observed and said.row in to.offers and said.certainty >= to.certainty
    it_is = observed and said.turn.subject == "it"
    return said.turn.corrects or answers or surer or it_is or (observed and said.row in to.stood and said.row != to.row)


def _correct(checklist: Checklist, to: Open, said: Said) -> None:
    """Let the other name stand; where talk goes to and fro between two, neither does for sure."""
    if said.row in to.stood:
        to.went_back += 1
    if to.went_back > 1:
        both = shared_group(checklist, to.row, said.row)
        rivals = {to.row, said.row}
        if both is None:
            to.stand(said.row, said.number, UNSETTLED, "corrected", said.mention.qualifier)
        else:
            to.stand(both, said.number, max(said.certainty, to.certainty), "alternative", None)
        to.rivals |= rivals - {to.row}
    else:
        to.stand(said.row, said.number, said.certainty, "corrected", said.mention.qualifier)


def _repeat(to: Open, said: Said) -> None:
    """The standing name said again: a statement settles what was asked or guessed; doubt said later lowers it."""
    status, certainty = said.judgement.status, said.certainty
    answers = status == "hedged" and not to.stated
    if (status == "observed" or answers) and certainty > to.certainty:
        to.certainty, to.said = certainty, said.number
        to.note(to.row, said.number, "confirmed", certainty)
    elif status == "hedged" and certainty < to.certainty:
        to.certainty, to.said = certainty, said.number
        to.note(to.row, said.number, "named", certainty)
    if said.turn.retreats:
        to.rivals.clear()
        to.doubted.clear()
    to.qualifier = said.mention.qualifier or to.qualifier


def _alternative(checklist: Checklist, to: Open, said: Said) -> None:
    """Another name beside the standing one, neither refused: the group that holds both stands."""
    row, certainty = said.row, said.certainty
    both = shared_group(checklist, to.row, row)
    insisted = row in to.offers and not said.asked and (said.turn.counters or row not in to.refused)
    to.offers.append(row)
    rivals = both is None and said.by_other and said.judgement.status == "hedged" and not to.stated_surely
    if rivals:
        # Two opinions that no group holds together: the last one said, and no more than possible.
        to.stand(row, said.number, min(certainty, UNSETTLED), "corrected", said.mention.qualifier)
    elif both is None or (certainty < to.certainty and not insisted):
        to.note(row, said.number, "offered", certainty)
        if insisted:
            # Two who never agree, and no group that both could accept.
            to.certainty = min(to.certainty, UNSETTLED)
    else:
        to.offers.append(to.row)
        to.note(row, said.number, "alternative", certainty)
        to.rivals.add(to.row)
        to.row, to.qualifier = both, None
        if said.turn.alternative:
            # "A or B": that it is one of the two is as likely as both together.
            to.certainty = max(to.certainty, min(to.certainty + certainty, PLAIN_STATEMENT))
    if not said.asked:
        to.rivals.add(row)


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
    to.rivals = {rival for rival in to.rivals if not checklist.is_same_or_ancestor(row, rival)}
    if not checklist.is_same_or_ancestor(row, to.row):
        _let_the_other_stand(checklist, to, row)
    elif held:
        to.row, to.said, to.certainty, to.qualifier = held[-1].row or 0, held[-1].mention, held[-1].certainty, None
    else:
        to.withdrawn = True


def withdraw(to: Open) -> None:
    """It was no animal, or is to be left out."""
    to.note(to.row, to.mentions[-1], "retracted", 0.0)
    to.withdrawn = to.gone = True


def doubt(to: Open) -> None:
    """Somebody does not believe the name: what was only offered is not taken, what stands is no more than possible."""
    last = to.steps[-1]
    if last.step == "offered" and last.row is not None:
        to.doubted.discard(last.row)
    else:
        to.certainty = min(to.certainty, UNSETTLED)


def _offered(checklist: Checklist, to: Open) -> list[tuple[int, int, float]]:
    """Row, mention and certainty of the offers that were not refused, in order, each row once."""
    found: dict[int | None, tuple[int, float]] = {}
    for step in to.steps:
        names = step.row is not None and (step.row in to.offers)
        # Offered as a question and then stated, it is as sure as the statement.
        surer = step.row not in found or step.certainty > found[step.row][1]
        if names and surer and step.step in ("alternative", "named", "refined", "offered", "corrected"):
            found[step.row] = (step.mention, step.certainty)
    refused = to.refused
    kept = {r: v for r, v in found.items() if not any(checklist.is_same_or_ancestor(no, r or 0) for no in refused)}
    return [(row, mention, certainty) for row, (mention, certainty) in kept.items() if row is not None]


def _let_the_other_stand(checklist: Checklist, to: Open, refused: int) -> None:
    """Of two alternatives under a group one was refused: the other stands."""
    left = _offered(checklist, to)
    if to.row in to.stood:
        # The group was a name of its own, and not what two offers have in common.
        return
    if refused in to.offers and len(left) == 1 and related(checklist, to.row, left[0][0]) and left[0][0] != to.row:
        to.stand(*left[0], "confirmed", None)


def choose(checklist: Checklist, to: Open, pick: str) -> None:
    """ "The latter", "no, the other one": of two names on offer, the one that is meant."""
    names = _offered(checklist, to)
    if to.row not in [row for row, _, _ in names] and len(names) == 1 and pick == "other":
        chosen = names[0]
    elif len(names) == 2:
        last_named = [s.row for s in to.steps if s.row in to.offers][-1:]
        others = [name for name in names if [name[0]] != last_named]
        chosen = {"first": names[0], "second": names[1]}.get(pick, others[0])
    else:
        return
    to.stand(chosen[0], chosen[1], max(chosen[2], SURE), "confirmed", None)


def agree(to: Open, certainty: float, takes_offer: bool) -> None:
    """A yes: a name that was offered last stands, with the certainty of a plain statement."""
    last, mention = to.steps[-1], to.mentions[-1]
    if takes_offer and last.step == "offered" and last.mention == mention and last.row is not None:
        to.stand(last.row, mention, certainty, "confirmed", None)
    elif to.certainty < certainty and last.step != "alternative":
        to.certainty = certainty
        to.note(to.row, mention, "confirmed", certainty)
    to.stated = True


def retreat_to_rank(checklist: Checklist, to: Open, rank: str) -> None:
    """ "Genus only": the ancestor of that rank stands; nothing happens where the name is already as high."""
    if rank not in _RANKS_ASKED_FOR:
        return
    for row in checklist.lineage(to.row):
        if checklist.taxon(row).rank == rank:
            to.stand(row, to.said, max(to.certainty, SURE), "retreated", None)
            return
    _genus_of_offers(checklist, to, rank)


def _genus_of_offers(checklist: Checklist, to: Open, rank: str) -> None:
    """ "Eptatretus deani or stoutii ... Genus.": what the names on offer have in common at this rank."""
    offered = [offer for offer in _offered(checklist, to) if checklist.is_same_or_ancestor(to.row, offer[0])]
    above = {_at_rank(checklist, row, rank) for row, _, _ in offered}
    common = above.pop() if len(above) == 1 else None
    if common is not None and common != to.row:
        to.stand(common, offered[-1][1], max(offered[-1][2], SURE), "retreated", None)


def _at_rank(checklist: Checklist, row: int, rank: str) -> int | None:
    return next((above for above in (row, *checklist.lineage(row)) if checklist.taxon(above).rank == rank), None)


def take_species(checklist: Checklist, to: Open) -> None:
    """ "Make that species": the last species that was offered, or left for its genus, stands again."""
    refused = to.refused
    for step in reversed(to.steps):
        row = step.row
        if row is None or row in refused or row == to.row or not checklist.is_same_or_ancestor(to.row, row):
            continue
        if checklist.taxon(row).rank == "species":
            to.stand(row, step.mention, max(step.certainty, SURE), "confirmed", None)
            return
