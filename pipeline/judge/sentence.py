"""The cues of one sentence, and which of its mentions each acts on."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass, field, replace
from itertools import pairwise
from pathlib import Path

from spacy.tokens import Doc

from earwitness.pipeline.judge.cues import ClaimCue, claim_cues, claim_words
from earwitness.pipeline.judge.kinds import kind_cues
from earwitness.pipeline.judge.noun_phrase import Form, form_of, names_a_kind
from earwitness.pipeline.judge.rules import DENIALS, QUESTIONS, SURENESS
from earwitness.pipeline.judge.scope import FARTHEST, Wall, ahead, behind, clause_walls, covers
from earwitness.pipeline.mention import Mention

_KNOWN_FORMS = ("demonstrative", "definite")
_STATED_WITHIN = 3
"""Words that may stand between "that is a" and its name (common practice, no source)."""
_AFTERTHOUGHT_WORDS = 4
"""Words besides its cues that a remark which is all hedge may have (common practice, no source)."""
_OR = frozenset({"or", "nor"})
_JOINING = frozenset({"or", "nor", "and", ","})


@dataclass(slots=True)
class Sentence:
    """Tokens [start, end) of a Doc with the mentions in it.

    Args:
        begun: a cue that the sentence before broke off with: "That might be ... a crab".
        acting: by mention, the cues that act on it, in order.
        forms: by mention, how it stands in its noun phrase.
        known: mentions that only say where something is ("on the sponge", "beside that crab"): nothing is claimed.
        stated: by mention, the end of the words that say it is here now ("that is a").
    """

    doc: Doc
    start: int
    end: int
    mentions: list[Mention]
    own: Path | None
    begun: ClaimCue | None = None
    cues: list[ClaimCue] = field(init=False)
    walls: list[Wall] = field(init=False)
    spans: list[tuple[int, int]] = field(init=False)
    forms: list[Form] = field(init=False)
    acting: list[list[ClaimCue]] = field(init=False)
    known: set[int] = field(init=False)
    stated: set[int] = field(init=False)

    def __post_init__(self) -> None:
        self.cues = claim_cues(self.doc, self.start, self.end, self.own)
        self.walls = clause_walls(self.doc, self.start, self.end, self.cues, self.own) if self.mentions else []
        self.spans = [(mention.start, mention.end) for mention in self.mentions]
        self.forms = [form_of(self.doc, mention, self.start, self.own) for mention in self.mentions]
        self.acting = [[] for _ in self.mentions]
        self.known = {
            n
            for cue in self.cues
            if cue.rule.category in ("host", "landmark") and cue.rule.direction == "forward"
            for n in ahead(cue, self.spans, self.walls)[:1]
            if self.forms[n] in _KNOWN_FORMS
        }
        self.stated = {
            n
            for cue in self.cues
            if cue.rule.category == "restart"
            for n in ahead(cue, self.spans, [])[:1]
            if self.spans[n][0] - cue.end <= _STATED_WITHIN
        }
        if self.mentions:
            self._act()

    def _act(self) -> None:
        claimed = [n for n in range(len(self.spans)) if n not in self.known]
        claimed_spans = [self.spans[n] for n in claimed]
        for number, cue in enumerate(self.cues):
            if cue.rule.category == "figure" and self._is_parted(cue):
                continue  # "lobster, red" is no colour
            if cue.rule.category == "hedge" and self._is_of_a_number(cue):
                continue
            if self._is_answer(cue) or (cue.rule.category in QUESTIONS and self._asks_for_detail(number)):
                continue
            if cue.rule.category in SURENESS:
                found = [claimed[n] for n in covers(cue, claimed_spans, self.walls)]
                if not found and cue.rule.category == "hedge" and self._is_remark(cue):
                    found = self._last_before(cue)
            else:
                found = covers(cue, self.spans, self.walls)
            for place in self._chosen(cue, found):
                self.acting[place].append(cue)
            if cue.rule.category == "prey":
                self._act_on_eater(cue)
        for place, cue in kind_cues(self.doc, self.start, self.end, self.mentions, self.forms, self.own):
            if place not in self.stated and not self._is_spoken_for(place, cue):
                self.acting[place].append(cue)
        if self.begun and self.spans[0][0] - self.start <= _STATED_WITHIN and 0 not in self.known:
            self.acting[0].insert(0, self.begun)

    def _is_of_a_number(self, cue: ClaimCue) -> bool:
        """Whether one word of doubt stands right before a number: "maybe fifty urchins" doubts the fifty."""
        if len(cue.rule.phrase) > 1 or cue.end >= self.end:
            return False
        behind = self.doc[cue.end]
        return behind.like_num and behind.lower_ not in ("one", "1")

    def _is_parted(self, cue: ClaimCue) -> bool:
        """Whether a comma or a stop stands between a cue's words."""
        return any(token.text in (",", ".", ";", ":") for token in self.doc[cue.start : cue.end])

    def _is_spoken_for(self, number: int, cue: ClaimCue) -> bool:
        """Whether a mention is known to be talk, or a cue's words are spent on how sure it is ("X, can not tell")."""
        for other in self.acting[number]:
            if other.rule.category in ("general", "habitual", "prey", "figure"):
                return True
            doubts = other.rule.category in SURENESS - QUESTIONS - {"booster"}
            if doubts and other.start < cue.end and cue.start < other.end:
                return True
        return False

    def _act_on_eater(self, cue: ClaimCue) -> None:
        """Who eats as its kind does is talk of the kind: "crinoids feed on what drifts by"."""
        rule = replace(cue.rule, category="habitual", direction="backward", reach="1 words")
        eats = ClaimCue(cue.start, cue.end, rule)
        for place in self._chosen(eats, behind(eats, self.spans, self.walls)):
            self.acting[place].append(eats)

    def _chosen(self, cue: ClaimCue, found: list[int]) -> list[int]:
        """Of the mentions in reach, those that the cue can mean."""
        category = cue.rule.category
        if category == "habitual":
            return [n for n in found[:1] if self._is_the_kind(cue, n)]
        if category in ("undone", "inversion"):
            found = [n for n in found if self.forms[n] not in _KNOWN_FORMS]
        if category in DENIALS:
            return self._listed(found)
        if category == "alternative":
            return self._alternatives(cue, found)
        if category == "general":
            return [n for n in found if not self._is_in_sight(cue, n) and self.forms[n] != "demonstrative"]
        if category == "recalled":
            return [n for n in found if not self._is_in_sight(cue, n)]
        if category == "host":
            return found[:1] if cue.rule.direction == "forward" else []
        return found

    def _listed(self, found: list[int]) -> list[int]:
        """The first mention and those that go on in its list: "no crabs, shrimps or fish", not "not a crab a squid"."""
        listed = found[:1]
        for before, number in pairwise(found):
            gap = {token.lower_ for token in self.doc[self.spans[before][1] : self.spans[number][0]]}
            if not gap & (_JOINING if self.forms[number] == "bare" else _OR):
                break
            listed.append(number)
        return listed

    def _is_the_kind(self, cue: ClaimCue, number: int) -> bool:
        """Whether a mention can be the subject or the object of what its kind does: "crabs live", "do squid sleep"."""
        if cue.rule.reach == "clause":
            return True
        if cue.rule.direction == "forward":
            return self.forms[number] == "bare"
        return names_a_kind(self.mentions[number], self.forms[number])

    def _is_in_sight(self, cue: ClaimCue, number: int) -> bool:
        """Whether a mention was stated to be here before the cue was said: "that is a crab, they often hide"."""
        return number in self.stated and cue.start >= self.spans[number][1]

    def _alternatives(self, cue: ClaimCue, found: list[int]) -> list[int]:
        """An "or" makes two names doubtful, or goes on from what was said before; two names of one taxon are one."""
        sides = [self.mentions[n].best.row for n in found]
        if len(found) == 2:
            return found if sides[0] != sides[1] else []
        opens = cue.start - self.start <= 1 and not claim_words(list(self.doc[self.start : cue.start]))
        return [n for n in found if opens and self.spans[n][0] >= cue.end]

    def _is_answer(self, cue: ClaimCue) -> bool:
        """A "no" with a comma, a stop or another "no" behind it answers somebody; it denies nothing that follows."""
        if cue.rule.phrase not in (("no",), ("never",), ("none",)) or cue.end >= len(self.doc):
            return False
        after = self.doc[cue.end]
        return after.lower_ == "no" or not any(c.isalnum() for c in after.text)

    def _asks_for_detail(self, number: int) -> bool:
        """Whether a wh-word right before a question cue asks for something else: "how big is that crab"."""
        before = self.cues[number - 1] if number else None
        if before is None or before.rule.category != "wh" or self.cues[number].start - before.end > _STATED_WITHIN:
            return False
        if before.rule.phrase[-1] in ("that", "this", "it", "those", "these", "they"):
            return False  # "what is that, is it a crab"
        return "," not in {token.text for token in self.doc[before.end : self.cues[number].start]}

    def _is_remark(self, cue: ClaimCue) -> bool:
        """Whether a hedge stands alone in its clause: "a crab, but I'm not sure"."""
        wall = bisect_right(self.walls, cue.start, key=lambda w: w.at)
        left = self.walls[wall - 1].at if wall else self.start
        wall = bisect_left(self.walls, cue.end, lo=wall, key=lambda w: w.at)
        right = self.walls[wall].at if wall < len(self.walls) else self.end
        if right - left > FARTHEST:
            return False
        others = claim_words(list(self.doc[left : cue.start])) + claim_words(list(self.doc[cue.end : right]))
        return len(others) <= _AFTERTHOUGHT_WORDS - 2

    def _last_before(self, cue: ClaimCue) -> list[int]:
        for number in range(bisect_left(self.spans, (cue.start, 0)) - 1, -1, -1):
            if cue.start - self.spans[number][1] > FARTHEST:
                break
            if self.spans[number][1] <= cue.start and number not in self.known:
                return [number]
        return []

    def cues_between(self, first: int, last: int) -> list[ClaimCue]:
        """The cues that begin at tokens [first, last)."""
        at = bisect_left(self.cues, first, key=lambda cue: cue.start)
        return self.cues[at : bisect_left(self.cues, last, lo=at, key=lambda cue: cue.start)]

    def is_contradicted(self, number: int) -> bool:
        """Whether "looks like X" goes on with what it is instead: "but it is no X", "but it is a Y"."""
        end = self.spans[number][1]
        until = min(end + FARTHEST, self.end)
        wall = bisect_left(self.walls, end, key=lambda w: w.at)
        nearby = self.walls[wall : bisect_left(self.walls, until, lo=wall, key=lambda w: w.at)]
        turn = next((w.at for w in nearby if w.kind == "contrast"), None)
        if turn is None:
            return False
        following = range(number + 1, bisect_left(self.spans, (until, 0)))
        if following and self.spans[following[0]][0] < turn:
            return False
        tail = self.cues_between(turn, until)
        if any(cue.rule.category in DENIALS and not self._is_answer(cue) for cue in tail):
            return True
        return any(n in self.stated for n in following)

    def guest_hosts(self) -> list[tuple[int, int | None]]:
        """Guest and host of every relation said: numbers of mentions here; None for the host named in the sentence
        before ("Glass sponge. And a shrimp on it.").
        """
        found: list[tuple[int, int | None]] = []
        for cue in self.cues:
            if cue.rule.category != "host":
                continue
            if cue.rule.direction == "forward":
                hosts = ahead(cue, self.spans, self.walls)[:1]
                guest = bisect_left(self.spans, (cue.start, 0)) - 1
                if hosts and guest >= 0 and self.spans[guest][1] <= cue.start:
                    found.append((guest, hosts[0]))
            else:
                near = behind(cue, self.spans, [])[:2]
                if near:
                    found.append((near[0], near[1] if len(near) == 2 else None))
        return found

    def unfinished(self, *, opens: bool) -> ClaimCue | None:
        """A hedge that is the sentence's last words and waits for a name: "That might be ... Cidaris."

        Args:
            opens: that nothing was named before in the utterance, so that "I think" cannot look back.
        """
        if not self.cues or self.cues[-1].rule.category not in ("hedge", "likeness"):
            return None
        cue = self.cues[-1]
        waits = cue.rule.direction in ("forward", "forward first") or (opens and not self.mentions)
        ends = not claim_words(list(self.doc[cue.end : min(self.end, cue.end + FARTHEST)]))
        return cue if waits and ends and not any(cue in acting for acting in self.acting) else None

    def is_remark(self) -> bool:
        """A short sentence that is all hedge: "Perhaps.", "Not confirmed.", "Hard to say from here."."""
        if not any(cue.rule.category == "hedge" for cue in self.cues):
            return False
        in_cues = sum(len(cue.rule.phrase) for cue in self.cues if cue.rule.category == "hedge")
        words = len(claim_words(list(self.doc[self.start : min(self.end, self.start + FARTHEST)])))
        return words - in_cues <= _AFTERTHOUGHT_WORDS and self.end - self.start < FARTHEST
