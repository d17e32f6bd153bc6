"""From the words around a sighting's mentions to its description."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, field, replace
from itertools import pairwise
from pathlib import Path
from typing import cast

from spacy.tokens import Doc, Span

from earwitness.pipeline.describe.characters import characters_in
from earwitness.pipeline.describe.description import LASER_CM, Description, Relation, Size, Vitality
from earwitness.pipeline.describe.owner import Owners
from earwitness.pipeline.describe.relations import Awaited, Link, relations_in
from earwitness.pipeline.describe.sizes import BY_EYE, Measured, asks_for_size, lasers_in, sizes_in, spacing_in
from earwitness.pipeline.describe.stretch import LINK, Stretch, with_role
from earwitness.pipeline.describe.traits import Attribute, Trait, bridges, owned_traits, stands_alone, traits_in
from earwitness.pipeline.judge import Judgement
from earwitness.pipeline.judge.judgement import Status
from earwitness.pipeline.mention import Mention
from earwitness.pipeline.segment import UTTERANCES, times_of
from earwitness.pipeline.settle import SettleSettings, Sighting
from earwitness.pipeline.words.phrases import phrase_table
from earwitness.taxonomy import Checklist

_MOVES_ON = frozenset({"general", "recalled", "elsewhere"})
"""Statuses of a name after which "they" are other animals than those on the screen."""
_YES_WORDS = 4
_BACK_TO_IT = frozenset({"this", "here", "one"})


def describe(
    doc: Doc,
    mentions: tuple[Mention, ...],
    judgements: tuple[Judgement, ...],
    sightings: tuple[Sighting, ...],
    checklist: Checklist,
    *,
    laser_cm: float = LASER_CM,
    own_words: Path | None = None,
) -> tuple[Description, ...]:
    """One description a sighting, in their order.

    What a sentence says goes to the name that it stands nearest to; a sentence without a name speaks of the animal
    just spoken of, as in the settle stage. A relation is noted on both sightings.

    Args:
        laser_cm: distance (cm) of the vehicle's two laser dots, where the talk does not say it.
        own_words: folder with the user's own word lists.
    """
    return _Describing(doc, mentions, judgements, sightings, laser_cm, own_words).run()


@dataclass(slots=True)
class _Draft:
    """What has been said of one sighting so far, in the order it was said."""

    sizes: list[Size] = field(default_factory=list)
    terms: dict[Attribute, list[str]] = field(default_factory=dict)
    characters: list[str] = field(default_factory=list)
    relations: dict[int, str] = field(default_factory=dict)

    def add(self, attribute: Attribute, term: str) -> None:
        said = self.terms.setdefault(attribute, [])
        if term not in said:
            said.append(term)

    def relate(self, other: int, kind: str) -> None:
        """The first relation to another sighting stands; "with" gives way to one that says more."""
        if self.relations.get(other, "with") == "with":
            self.relations[other] = kind

    def close(self) -> Description:
        return Description(
            size=self.sizes[-1] if self.sizes else None,
            sex=self._joined("sex", order=("male", "female")),
            life_stage=self._joined("lifeStage"),
            behavior=self._joined("behavior"),
            vitality=self._vitality(),
            colour=self._joined("colour"),
            position=next(iter(self.terms.get("position", ())), None),
            habitat=self._joined("habitat"),
            characters=tuple(dict.fromkeys(self.characters)),
            relations=tuple(Relation(kind, other) for other, kind in self.relations.items()),
        )

    def _joined(self, attribute: Attribute, order: tuple[str, ...] = ()) -> str | None:
        terms = [part for term in self.terms.get(attribute, ()) for part in term.split(" | ")]
        in_order = [term for term in order if term in terms] + [term for term in terms if term not in order]
        return " | ".join(dict.fromkeys(in_order)) or None

    def _vitality(self) -> Vitality | None:
        said = self.terms.get("vitality")
        if not said:
            return None
        known = set(said) - {"uncertain"} or {"uncertain"}
        return cast(Vitality, known.pop() if len(known) == 1 else "mixedLot")


class _Describing:
    """Walks through the talk, sentence by sentence."""

    def __init__(
        self,
        doc: Doc,
        mentions: tuple[Mention, ...],
        judgements: tuple[Judgement, ...],
        sightings: tuple[Sighting, ...],
        laser_cm: float,
        own: Path | None,
    ):
        self.doc, self.mentions, self.judgements, self.own = doc, mentions, judgements, own
        self.starts = times_of(doc).start
        self.settings = SettleSettings()
        self.patience = self.settings.answer
        self.drafts = [_Draft() for _ in sightings]
        self.sighting_of = {n: number for number, sighting in enumerate(sightings) for n in sighting.mentions}
        self.recent: dict[int, float] = {}
        self.named_at: dict[int, float] = {}
        self.ahead: tuple[float, list[Trait]] = (0.0, [])
        self.moved_on = False
        self.awaited: list[tuple[float, Awaited]] = []
        self.asked: tuple[int, list[Trait]] | None = None
        self.measuring = self.lasers_read = False
        self.laser_cm = laser_cm

    def run(self) -> tuple[Description, ...]:
        by_sentence: dict[int, list[int]] = {}
        # Asking spaCy for the sentence of a token costs time by the length of the recording: once is enough.
        sentences = list(self.doc.sents)
        begins = [sentence.start for sentence in sentences]
        for number, mention in enumerate(self.mentions):
            by_sentence.setdefault(begins[bisect_right(begins, mention.start) - 1], []).append(number)
        stretches: list[tuple[Stretch, Span, list[int]]] = []
        first_of_turn = {utterance.start for utterance in self.doc.spans[UTTERANCES]}
        for sentence in sentences:
            here = by_sentence.get(sentence.start, [])
            stretches.append((self._stretch(sentence, here), sentence, here))
        spacings = [spacing_in(stretch) for stretch, _, _ in stretches]
        # Dots do not move: the distance said first holds for what came before it, too.
        self.laser_cm = next((s for s in spacings if s is not None), self.laser_cm)
        for (stretch, sentence, here), spacing in zip(stretches, spacings, strict=True):
            self.laser_cm = spacing or self.laser_cm
            if stretch.start in first_of_turn or stretch.named:
                self.lasers_read = False
            if stretch.words:
                self._hear(stretch, sentence, here, states_spacing=spacing is not None)
        return tuple(draft.close() for draft in self.drafts)

    def _stretch(self, sentence: Span, here: list[int]) -> Stretch:
        named: list[tuple[int, int, int | None, Status]] = [
            (self.mentions[n].start, self.mentions[n].end, self.sighting_of.get(n), self.judgements[n].status)
            for n in here
        ]
        return Stretch(self.doc, sentence, named, self.own)

    def _hear(self, stretch: Stretch, sentence: Span, here: list[int], *, states_spacing: bool) -> None:
        now = float(self.starts[sentence.start])
        recent = self._spoken_of(now)
        if self.moved_on and _BACK_TO_IT & set(stretch.words):
            self.moved_on = False
        current = None if self.moved_on or not recent else recent[0]
        if stretch.named or not stretch.is_talk:
            self._say(stretch, current, recent if current is not None else [], now, states_spacing)
        self._answer(stretch, current)
        self.measuring = asks_for_size(stretch)
        self.lasers_read = self.lasers_read or lasers_in(stretch)
        self._go_on(stretch, here)
        if stretch.named and not here:
            self.moved_on = True  # to litter

    def _say(self, stretch: Stretch, current: int | None, recent: list[int], now: float, states_spacing: bool) -> None:
        traits = traits_in(stretch)
        sizes = [] if states_spacing else sizes_in(stretch, self.laser_cm)
        spans = [(one.first, one.last) for one in traits] + [(one.first, one.last) for one in sizes]
        stretch.part_by(bridges(stretch, spans))
        owners = Owners(stretch, current)
        if self._points_ahead(stretch, traits, current, now):
            return
        for sighting, trait in owned_traits(stretch, owners, traits):
            self.drafts[sighting].add(trait.attribute, trait.term)
            self._keep(sighting, now)
        self._sizes(stretch, owners, sizes, now)
        taken = {i for first, last in spans for i in range(first, last)} - {
            i for t in traits if t.attribute == "colour" for i in range(t.first, t.last)
        }
        for character in characters_in(stretch, taken):
            owner = owners.of(character.first, character.last, after_subject=True).sighting
            if owner is not None:
                self.drafts[owner].characters.append(character.said)
        self._meet(stretch, now)
        links, awaited = relations_in(stretch, owners, recent)
        for link in links:
            self._relate(link)
        self.awaited += [(now, one) for one in awaited]

    def _points_ahead(self, stretch: Stretch, traits: list[Trait], current: int | None, now: float) -> bool:
        """ "Third colony, golden.", "What's that white thing?" speak of what the next sentence names."""
        named = next((name.sighting for name in stretch.named if name.sighting is not None), None)
        said, waiting = self.ahead
        self.ahead = (now, [])
        if named is not None and now - said <= self.patience:
            for trait in waiting:
                self.drafts[named].add(trait.attribute, trait.term)
        if stretch.named:
            return False
        pointing = any(stretch.phrases(with_role("pointers", role, self.own)) for role in ("next", "unnamed"))
        if pointing or current is None:
            self.ahead = (now, [t for t in traits if stretch.asserts(t.first) and stands_alone(stretch, t)])
        return bool(self.ahead[1])

    def _keep(self, sighting: int, now: float) -> None:
        """An animal that is still being described is still spoken of, for as long as a name said again would join."""
        if sighting in self.recent and now - self.named_at.get(sighting, now) <= self.settings.same_taxon:
            self.recent[sighting] = now

    def _sizes(self, stretch: Stretch, owners: Owners, sizes: list[Measured], now: float) -> None:
        """The last size said of an animal in a sentence; with the lasers, if they are spoken of there."""
        laser = f"lasers {self.laser_cm:g} cm apart" if self.lasers_read or lasers_in(stretch) else ""
        for measured in sizes:
            if not measured.clear and not (self.measuring and not stretch.named):
                continue
            owner = owners.of(measured.first, measured.last, after_subject=not measured.attributive).sighting
            if owner is not None:
                size = measured.size
                if laser and not measured.by_laser:
                    size = replace(size, method=size.method.replace(BY_EYE, laser))
                self.drafts[owner].sizes.append(size)
                self._keep(owner, now)

    def _relate(self, link: Link) -> None:
        self.drafts[link.subject].relate(link.object, link.kind)
        self.drafts[link.object].relate(link.subject, link.inverse)

    def _meet(self, stretch: Stretch, now: float) -> None:
        """The sighting named next is the other side of a relation that was left open."""
        named = next((name.sighting for name in stretch.named if name.sighting is not None), None)
        if named is None or not self.awaited:
            return
        for said, one in self.awaited:
            if now - said <= self.patience and one.host != named:
                self._relate(Link(named, one.host, one.kind, one.inverse))
        self.awaited = []

    def _answer(self, stretch: Stretch, current: int | None) -> None:
        """ "Is it dead?" "Yes." says that it is dead."""
        if self.asked and not stretch.named and self._agrees(stretch):
            sighting, traits = self.asked
            for trait in traits:
                self.drafts[sighting].add(trait.attribute, trait.term)
        asks = stretch.asks == "whether" and not stretch.named and not stretch.is_talk
        self.asked = (current, traits_in(stretch)) if asks and current is not None else None

    def _agrees(self, stretch: Stretch) -> bool:
        """A short sentence that opens with a yes."""
        first = next(iter(stretch.phrases(phrase_table("turns", own=self.own))), None)
        is_yes = first is not None and first.first == 0 and first.row["role"] in ("agreement", "assent")
        return is_yes and len(stretch.words) <= _YES_WORDS

    def _spoken_of(self, now: float) -> list[int]:
        """The sightings just spoken of, the latest first."""
        self.recent = {s: at for s, at in self.recent.items() if now - at <= self.patience}
        return list(reversed(self.recent))

    def _go_on(self, stretch: Stretch, here: list[int]) -> None:
        """What is said next is said of the animal named last; of "a crab on a sponge" it is the crab."""
        for number in here:
            sighting = self.sighting_of.get(number)
            if sighting is not None:
                self.named_at[sighting] = float(self.starts[self.mentions[number].start])
                self._put_last(sighting)
                self.moved_on = False
            elif self.judgements[number].status in _MOVES_ON:
                self.moved_on = True
        for before, after in reversed(list(pairwise(stretch.named))):
            between = stretch.words[before.last : after.first]
            on_it = self._is_on(before.sighting, after.sighting)
            joined = on_it or (stretch.parting(before.last, after.first) == LINK and "with" not in between)
            if before.sighting is None or after.sighting is None or not joined:
                break
            self._put_last(before.sighting)

    def _is_on(self, one: int | None, other: int | None) -> bool:
        """Whether one sighting was said to be on, in or under another, or to eat or hold it."""
        if one is None or other is None:
            return False
        return self.drafts[one].relations.get(other, "with") in ("on", "in", "under", "eating", "holding")

    def _put_last(self, sighting: int) -> None:
        self.recent.pop(sighting, None)
        self.recent[sighting] = self.named_at[sighting]
