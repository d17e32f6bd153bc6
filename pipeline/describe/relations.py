"""Relations between sightings: "squat lobster in the black coral", "a shrimp on it", "it's got a passenger"."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from earwitness.pipeline.describe.owner import Owners
from earwitness.pipeline.describe.stretch import CLAUSE, Found, Named, Stretch, with_role
from earwitness.pipeline.describe.traits import things_in
from earwitness.pipeline.settle.numbers import number_at
from earwitness.pipeline.words import word_rows
from earwitness.pipeline.words.phrases import Phrases, phrase_table
from earwitness.pipeline.words.terms import RELATIONS

_OBJECT_WITHIN = 10
"""Words between a preposition and its noun: "in the lower branches of that old ..."."""
_NOT_A_SUBJECT = frozenset({"look", "see", "and", "so", "oh", "also", "yes", "there", "here", "again", "now", "then"})


@dataclass(frozen=True, slots=True)
class Link:
    """The sighting `subject` stands in the relation `kind` to `object`, which stands in `inverse` to it."""

    subject: int
    object: int
    kind: str
    inverse: str


@dataclass(frozen=True, slots=True)
class Awaited:
    """A relation to a `host` whose other side is named next: "What's that in the branches?"."""

    host: int
    kind: str
    inverse: str


@cache
def _table(own: Path | None) -> Phrases:
    for row in word_rows("relations", own):
        row.one_of("kind", ("", *RELATIONS))
        row.one_of("inverse", ("", *RELATIONS) if not row["kind"] else RELATIONS)
    return phrase_table("relations", own=own)


def relations_in(stretch: Stretch, owners: Owners, recent: list[int]) -> tuple[list[Link], list[Awaited]]:
    """The relations that a stretch states, and those whose other side is still to be named.

    `recent` are the sightings spoken of shortly before the stretch, the latest first.
    """
    links: list[Link] = []
    awaited: list[Awaited] = []
    if stretch.asks == "whether" or stretch.is_talk:
        return links, awaited
    for found in stretch.phrases(_table(stretch.own)):
        row = found.row
        if not row["kind"] or found.first in stretch.in_name or not stretch.asserts(found.first):
            continue
        _Relating(stretch, owners, recent, found).add(links, awaited)
    if recent and not stretch.named and stretch.asks == "":
        guests = stretch.phrases(with_role("pointers", "guest", stretch.own))
        if guests and stretch.asserts(guests[0].first):
            awaited.append(Awaited(recent[0], "on", "host of"))
    return links, awaited


class _Relating:
    """One relation phrase in its sentence."""

    def __init__(self, stretch: Stretch, owners: Owners, recent: list[int], found: Found):
        self.stretch, self.owners, self.recent, self.found = stretch, owners, recent, found
        self.row = found.row
        self.things = things_in(stretch)
        self.left = owners.left_of(found.first)
        if self.left and stretch.parting(self.left.last, found.first) >= CLAUSE:
            self.left = None

    def add(self, links: list[Link], awaited: list[Awaited]) -> None:
        thing, ends = self._object()
        if thing is None and ends is None:
            return
        kind, inverse = self._kinds(thing)
        for subject in self._subjects(thing, ends):
            other = thing.sighting if thing else self._antecedent(subject)
            if other is not None and other != subject:
                links.append(Link(subject, other, kind, inverse))
        if thing is None and self._is_unnamed() and self.recent:
            awaited.append(Awaited(self.recent[0], self.row["kind"], self.row["inverse"]))

    def _kinds(self, thing: Named | None) -> tuple[str, str]:
        """ "With a worm inside" says more than "with"."""
        row = self.row
        if thing and row["kind"] == "with" and thing.last < len(self.stretch.words):
            behind = _table(self.stretch.own).get((self.stretch.words[thing.last],))
            last = thing.last + 1 == len(self.stretch.words) or self.stretch.parted[thing.last + 1]
            if behind is not None and last and behind["kind"]:
                return behind["inverse"], behind["kind"]
        return row["kind"], row["inverse"]

    def _object(self) -> tuple[Named | None, int | None]:
        """What the phrase leads to: a name; or, with where it ends, a word that stands for one ("the branches")."""
        stretch, start = self.stretch, self.found.last
        names = {name.first: name for name in stretch.named}
        pointers, parts, fillers = (
            with_role("pointers", role, stretch.own) for role in ("animal", "host part", "filler")
        )
        stands: int | None = None
        for at in range(start, min(start + _OBJECT_WITHIN, len(stretch.words))):
            word = (stretch.words[at],)
            if at > start and stretch.parted[at]:
                break
            if stands is not None and "of" not in stretch.words[stands : at + 1]:
                break
            if at in names:
                return names[at], None
            if tuple(stretch.words[at : at + 2]) in pointers:
                return None, at + 2
            if word in pointers and word not in fillers:
                return None, at + 1
            if at in self.things:
                break
            if word in parts:
                stands = at + 1
            elif word not in fillers and not self._adjective(at):
                break
        return None, stands

    def _adjective(self, at: int) -> bool:
        word = self.stretch.words[at]
        return bool(number_at([word], 0)) or (word,) in phrase_table("colours", own=self.stretch.own)

    def _subjects(self, thing: Named | None, ends: int | None) -> list[int]:
        if self.owners.pointer_before(self.found.first) and self.left is None:
            return [self.recent[0]] if self.recent and not self._is_unnamed() else []
        if self.left is not None:
            return [s for s in self._together(self.left) if s is not None]
        plain_with = self.row["phrase"] == "with"
        if thing is not None and plain_with and self.recent:
            return [self.recent[0]]
        behind = thing.last if thing else ends or self.found.last
        follower = self.owners.right_of(behind)
        is_another = follower is not None and (thing is None or follower.sighting != thing.sighting)
        if follower and is_another and follower.sighting is not None and self._runs_on(behind, follower):
            return [follower.sighting]
        if thing is not None and self.recent and self._opens():
            return [self.recent[0]]
        return []

    def _runs_on(self, behind: int, follower: Named) -> bool:
        """Whether the name behind the phrase is what is on or in it: "on the fan, a crab", "in it there is a worm"."""
        between = self.stretch.words[behind : follower.first]
        joined = {"is", "are", "sits", "lives", "sit"} & set(between) or self.stretch.parting(behind, follower.first)
        return bool(joined) and self.stretch.parting(behind, follower.first) < CLAUSE and not ({"and"} & set(between))

    def _opens(self) -> bool:
        """Whether nothing but small words stands before the phrase in its sentence."""
        return set(self.stretch.words[: self.found.first]) <= _NOT_A_SUBJECT

    def _together(self, name: Named) -> list[int | None]:
        """The subject, and one joined to it by "and": "a crab and a shrimp on the sponge"."""
        subjects = [name.sighting]
        before = self.owners.left_of(name.first)
        if before:
            between = set(self.stretch.words[before.last : name.first])
            if "and" in between and between <= {"and", "a", "an", "the", "another", "some", "two", "three"}:
                subjects.append(before.sighting)
        return subjects

    def _antecedent(self, subject: int) -> int | None:
        """Who "it" is: the name before the subject in the sentence, else who was spoken of before."""
        for name in reversed(self.stretch.named):
            if name.last <= self.found.first and name.sighting not in (None, subject):
                return name.sighting
        return next((sighting for sighting in self.recent if sighting != subject), None)

    def _is_unnamed(self) -> bool:
        """ "Something in the branches", "what's that on the fan": the other side is named next, if at all."""
        if self.left is not None:
            return False
        before = self.stretch.words[: self.found.first]
        table = with_role("pointers", "unnamed", self.stretch.own)
        longest = max(map(len, table), default=0)
        tail = before[-longest - 2 :]
        return any(tuple(tail[i : i + n]) in table for i in range(len(tail)) for n in range(1, longest + 1))
