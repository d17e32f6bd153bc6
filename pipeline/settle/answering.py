"""What words without a name do to the sighting just spoken of: counts, answers, "scratch that", "and another one"."""

from __future__ import annotations

from spacy.tokens import Span

from earwitness.pipeline.judge.judgement import PLAIN_STATEMENT
from earwitness.pipeline.settle.counts import ONE, CountBeside, settled
from earwitness.pipeline.settle.counts_alone import count_alone
from earwitness.pipeline.settle.open import Open
from earwitness.pipeline.settle.replies import Reply, names_the_other
from earwitness.pipeline.settle.sighting import Count
from earwitness.pipeline.settle.standing import agree, choose, doubt, retract, retreat_to_rank, take_species, withdraw
from earwitness.pipeline.settle.talk import Talk

_BY_THE_WAY = 3
"""Words: more than these, and a question is no longer open."""


def afterwards(talk: Talk, sighting: Open, reply: Reply, *, last: bool) -> None:
    """What the words behind a name do to it, in the same sentence: "genus only", "no wait it's a rock"."""
    no = talk.pending and reply.refuses and (reply.alone or bool(reply.stop))
    if reply.strikes or no:
        _strike(talk, sighting)
    elif reply.voids or reply.thing in ("said", "it"):
        withdraw(sighting)
    elif reply.rank and reply.stop and last:
        retreat_to_rank(talk.checklist, sighting, reply.rank)
    elif reply.undecided or reply.stop == "indet.":
        _leave_species(talk, sighting)
    if reply.stop:
        sighting.stop = reply.stop
    elif reply.undecided:
        sighting.stop = sighting.stop or "indet."
    if reply.more and last and not reply.predicate:
        add(sighting, reply.more, reply.total)


def take_nameless(talk: Talk, sentence: Span) -> bool:
    """Let a sentence without a name speak of the animal just named; whether it said how many that are."""
    now = talk.now(sentence.start)
    sighting = talk.homes.just_spoken_of(now)
    if sighting is None:
        _take_one_more(talk, sentence, now)
        return False
    reply = talk.reply(sentence.start, sentence.end)
    # "No, three." corrects a number, and no name.
    other = talk.elsewhere or sighting.withdrawn or bool(reply.pick and sighting.offers)
    counts = not other and _counts(talk, sighting, reply, sentence)
    if counts or _act(talk, sighting, reply, sentence):
        talk.answered(sighting, now, sentence)
        return counts
    if not talk.look(sentence) and not sighting.withdrawn:
        if reply.speaks_of_it:
            talk.homes.keep(sighting, now)
            talk.about_it = True
        if sighting.count is None and not other and not reply.predicate:
            # A Latin name says neither one nor many; "its arms are bent" does.
            sighting.count = talk.number_of_it(sentence)
    talk.pending = talk.pending and reply.words <= _BY_THE_WAY and not sentence.text.endswith("?")
    talk.elsewhere = talk.elsewhere or talk.is_ground(sentence)
    return False


def _take_one_more(talk: Talk, sentence: Span, now: float) -> None:
    """ "There's another one." after a while without a word about anything else."""
    sighting = talk.homes.lately_spoken_of(now)
    reply = talk.reply(sentence.start, sentence.end)
    if sighting and reply.more and not talk.elsewhere and not sighting.withdrawn:
        add(sighting, reply.more, reply.total)
        talk.answered(sighting, now, sentence)
    else:
        talk.look(sentence)
        talk.elsewhere = talk.elsewhere or talk.is_ground(sentence)


def _counts(talk: Talk, sighting: Open, reply: Reply, sentence: Span) -> bool:
    if reply.more:
        add(sighting, reply.more, reply.total)
        return True
    count = count_alone(talk.doc, sentence, talk.own)
    if count is None:
        return False
    sighting.count = settled(sighting.count, CountBeside(count, False), alone=True)
    return True


def _act(talk: Talk, sighting: Open, reply: Reply, sentence: Span) -> bool:
    """Let a reply change the name; whether it did."""
    others = talk.speaker_differs(sighting, sentence.start)
    last = talk.last_status(sighting)
    open_question = talk.pending and last == "asked"
    if reply.strikes:
        _strike(talk, sighting)
    elif reply.thing == "that" and last == "asked" and sighting.stated and sighting.steps[-1].step == "offered":
        # "Shrimps." "Are those big ones lobsters?" "Those are stones.": only what was offered is refused.
        _strike(talk, sighting)
    elif reply.voids or _is_thing(reply, last, sighting):
        withdraw(sighting)
    elif reply.pick and len(sighting.offers) > 0:
        choose(talk.checklist, sighting, reply.pick)
    elif _refuses(talk, sighting, reply) or (open_question and _is_the_other(talk, sighting, sentence)):
        _strike(talk, sighting)
    elif reply.doubts and others is not False:
        doubt(sighting)
    elif reply.species:
        take_species(talk.checklist, sighting)
    elif reply.agrees and others is not False:
        takes = open_question or (last == "hedged" and (reply.agrees == "agreed" or (talk.pending and bool(others))))
        agree(sighting, PLAIN_STATEMENT, takes)
    elif not (reply.rank or reply.stop or reply.undecided):
        sighting.logging = sighting.logging or reply.logging
        return False
    if reply.rank:
        retreat_to_rank(talk.checklist, sighting, reply.rank)
        sighting.stop = "stet."
    if reply.undecided or reply.stop == "indet.":
        _leave_species(talk, sighting)
    sighting.stop = reply.stop or sighting.stop
    talk.pending = False
    return True


def _refuses(talk: Talk, sighting: Open, reply: Reply) -> bool:
    """Whether a no is said of the name that was only asked for, guessed or offered."""
    asked = talk.last_status(sighting) == "asked" or sighting.steps[-1].step == "offered"
    return reply.refuses and talk.pending and (asked or reply.alone)


def _is_the_other(talk: Talk, sighting: Open, sentence: Span) -> bool:
    """ "Is that a snail, or a pebble?" "A pebble.": of two things asked for, the one that is no name was chosen."""
    number = sighting.mentions[-1]
    behind = talk.words(talk.mentions[number].end, talk.sentences[number].end)
    return names_the_other(behind, talk.words(sentence.start, sentence.end), talk.own)


def _is_thing(reply: Reply, last: str, sighting: Open) -> bool:
    doubtful = last in ("asked", "hedged")
    if reply.thing == "bare" and last == "asked" and sighting.is_open:
        # "Is that an octopus?" "Manganese."
        return True
    return reply.thing in ("said", "it") or (reply.thing == "that" and doubtful)


def _strike(talk: Talk, sighting: Open) -> None:
    """ "Scratch that": what was said last is taken back, and what stood before it stands again."""
    retract(talk.checklist, sighting, sighting.mentions[-1], talk.last_row(sighting))


def _leave_species(talk: Talk, sighting: Open) -> None:
    """ "I can't tell which species": the genus is left of a species."""
    if talk.checklist.taxon(sighting.row).rank == "species":
        retreat_to_rank(talk.checklist, sighting, "genus")


def add(sighting: Open, more: int, total: int | None) -> None:
    """ "And another one": so many more, or as many as that makes; "second one": as many as are reached by it."""
    held = sighting.count.count if sighting.count else ONE
    if total is not None:
        sighting.count = CountBeside(Count(str(total), "exact"), True)
    elif held.quantity.isdecimal():
        sighting.count = CountBeside(Count(str(int(held.quantity) + more), held.kind), True)
