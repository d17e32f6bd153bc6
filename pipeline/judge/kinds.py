"""Talk of kinds, told by the build of the clause and not by fixed phrases.

"Krill feed by night", "true crabs can hardly cope", "a sponge needs a current", "Munida has long claws", "are sponges
animals", "what is an isopod": a bare plural, a bare Latin name or "a" with a name is the subject of what its kind does,
has or is. A name may also be only a part of another thing's name ("shrimp trawl", "crab man").
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from spacy.tokens import Doc

from earwitness.pipeline.judge.cues import ClaimCue, claim_words
from earwitness.pipeline.judge.noun_phrase import Form, names_a_kind
from earwitness.pipeline.judge.rules import Category, ClaimRule
from earwitness.pipeline.mention import Mention
from earwitness.pipeline.words import word_rows

_AHEAD = 8
"""Words behind a name that are looked at (common practice, no source)."""
_SOURCE = "common practice, no source: the build of the clause"


@dataclass(frozen=True, slots=True)
class _Words:
    """The words right before or behind a name, without a stop between: spoken forms, and their tokens."""

    spoken: tuple[str, ...]
    tokens: tuple[int, ...]

    def opens(self, phrases: frozenset[str], at: int = 0) -> int:
        """How many words from place `at` are one of the phrases; 0 for none."""
        for length in (3, 2, 1):
            if at + length <= len(self.spoken) and " ".join(self.spoken[at : at + length]) in phrases:
                return length
        return 0

    def past(self, phrases: frozenset[str], at: int = 0) -> int:
        """The place behind any number of the phrases."""
        while step := self.opens(phrases, at):
            at += step
        return at


@cache
def kind_words(own: Path | None) -> Mapping[str, frozenset[str]]:
    """The phrases of `words/kind_words.csv` by class."""
    found: dict[str, set[str]] = {}
    for row in word_rows("kind_words", own):
        found.setdefault(row["class"], set()).add(row["phrase"].lower())
    return {name: frozenset(phrases) for name, phrases in found.items()}


@cache
def _heads(own: Path | None) -> frozenset[str]:
    return frozenset(row["word"].lower() for row in word_rows("name_heads", own))


def kind_cues(
    doc: Doc, start: int, end: int, mentions: list[Mention], forms: list[Form], own: Path | None = None
) -> Iterator[tuple[int, ClaimCue]]:
    """Number of a mention of the sentence [start, end), and the words that make it talk of its kind or no animal."""
    classes = kind_words(own)
    for number, mention in enumerate(mentions):
        after, before = _after(doc, mention.end, end), _before(doc, mention.start, start)
        if mention.best.number != "plural" and after.opens(_heads(own)):
            yield number, _cue(after, 0, 1, "figure")
            continue
        if (asking := _asked_of_kind(before, after, mention, forms[number], classes)) is not None:
            yield number, _cue(before, asking, len(before.tokens), "habitual")
            continue
        if not _is_subject(before, mention, forms[number], classes):
            continue
        over = _predicate(after, mention, forms[number], classes)
        defined = _defined(after, number, mentions, forms, classes)
        if over or defined is not None:
            cue = _cue(after, 0, over or 1, "habitual")
            yield number, cue
            if defined is not None:
                yield defined, cue
            elif over and (object_ := _object(after, over, number, mentions, forms)) is not None:
                yield object_, cue


def _cue(words: _Words, first: int, over: int, category: Category) -> ClaimCue:
    phrase = words.spoken[first:over]
    rule = ClaimRule(phrase, category, "both", "clause", None, None, _SOURCE)
    return ClaimCue(words.tokens[first], words.tokens[over - 1] + 1, rule)


def _after(doc: Doc, at: int, end: int) -> _Words:
    stop = at
    while stop < min(end, at + _AHEAD) and any(c.isalnum() for c in doc[stop].text.replace("'", "x")):
        stop += 1
    return _words(doc, at, stop)


def _before(doc: Doc, at: int, start: int) -> _Words:
    first = at
    while first > max(start, at - _AHEAD) and any(c.isalnum() for c in doc[first - 1].text):
        first -= 1
    return _words(doc, first, at)


def _words(doc: Doc, start: int, end: int) -> _Words:
    pairs = claim_words(list(doc[start:end]))
    return _Words(tuple(word for _, word in pairs), tuple(i for i, _ in pairs))


def _is_subject(before: _Words, mention: Mention, form: Form, classes: Mapping[str, frozenset[str]]) -> bool:
    """Whether a name opens its clause and may mean the kind: bare, or with "a" or "every" at the clause's start."""
    spoken = before.spoken
    if form == "indefinite" and spoken and mention.best.number != "plural":
        place = next((i for i in range(len(spoken) - 1, -1, -1) if spoken[i] in classes["generic determiner"]), None)
        return place is not None and (place == 0 or spoken[place - 1] in classes["in a clause"])
    if form == "demonstrative":
        # "She has read that those sponges host worms": what is reported of a kind is not pointed at.
        reported = spoken[-1:] == ("those",) and bool(set(spoken) & classes["reported"])
        return reported and mention.best.number == "plural"
    return (names_a_kind(mention, form) or _is_many(mention, form, classes)) and not (
        spoken and spoken[-1] in classes["before object"]
    )


def _is_many(mention: Mention, form: Form, classes: Mapping[str, frozenset[str]]) -> bool:
    """A name whose plural is as its singular: "toothfish eat them"."""
    last = mention.text.lower().split()[-1]
    return form == "bare" and (last.endswith("fish") or last in classes["unmarked plural"])


def _predicate(after: _Words, mention: Mention, form: Form, classes: Mapping[str, frozenset[str]]) -> int:
    """The place behind the words that say what a kind does, has or is like; 0 where they do not."""
    spoken = after.spoken
    at = after.past(classes["habit adverb"])
    if at >= len(spoken):
        return 0
    if spoken[at : at + 2] in (("is", "what"), ("are", "what")):
        return at + 2
    if form == "indefinite":
        return _of_any(after, at, classes)
    if modal := after.opens(classes["kind modal"], at):
        behind = after.past(classes["habit adverb"], at + modal)
        return 0 if behind >= len(spoken) or after.opens(classes["can be seen"], behind) else behind
    if over := _habit(after, at, classes["habit verb"]):
        return over
    if mention.best.number == "" and (over := _habit(after, at, classes["habit verb third person"])):
        return over
    if spoken[at] in ("has", "have") and _is_trait(after, at + 1, classes):
        return at + 2
    if spoken[at] in classes["copula"]:
        return _likeness(after, after.past(classes["habit adverb"], at + 1), classes)
    return 0


def _of_any(after: _Words, at: int, classes: Mapping[str, frozenset[str]]) -> int:
    """What is said of any one of a kind: "a crab walks", "an eel would", "a salp is a nearer relation", "a squid like
    that needs room"; not "a crab is moving", "a squid could be", "a sponge is a bit further".
    """
    spoken = after.spoken
    if habit := _habit(after, at, classes["habit verb third person"]):
        return habit
    if (such := after.past(classes["like that"])) and such < len(spoken) and spoken[such] in classes["kind verb any"]:
        return such + 1
    if modal := after.opens(classes["hypothetical"], at):
        behind = after.past(classes["habit adverb"], at + modal)
        if behind >= len(spoken):
            return at + modal if spoken[at] in ("would", "could", "will", "does") else 0
        unsure = after.opens(classes["can be seen"], behind) or after.opens(classes["it fits"], behind)
        return 0 if unsure or spoken[behind] == "be" else behind
    if spoken[at] != "is":
        return 0
    behind = after.past(classes["habit adverb"], at + 1)
    known = after.opens(classes["generic complement"], behind)
    following = after.past(classes["habit adverb"], behind + known)
    if not known or after.opens(classes["no complement"], behind) or following >= len(spoken):
        return 0
    return 0 if spoken[following].endswith("ing") else behind + known


def _object(after: _Words, over: int, number: int, mentions: list[Mention], forms: list[Form]) -> int | None:
    """The number of a bare plural right behind what a kind does: "jellies carry isopods"."""
    if number + 1 >= len(mentions) or mentions[number + 1].best.number != "plural":
        return None
    gap = mentions[number + 1].start - after.tokens[over - 1]
    return number + 1 if gap == 1 or (gap == 2 and forms[number + 1] == "bare") else None


def _habit(after: _Words, at: int, verbs: frozenset[str]) -> int:
    length = after.opens(verbs, at)
    return at + length if length else 0


def _is_trait(after: _Words, at: int, classes: Mapping[str, frozenset[str]]) -> bool:
    """ "Has long claws", "have eyes", not "has its mouth open", "has moved"."""
    if at >= len(after.spoken):
        return False
    word = after.spoken[at]
    plural = len(word) > 3 and word.endswith("s") and not word.endswith("ss") and word not in classes["no trait"]
    return plural or word in classes["trait opener"]


def _likeness(after: _Words, at: int, classes: Mapping[str, frozenset[str]]) -> int:
    """The place behind "animals", "smaller", "the commonest" of "... are animals"."""
    spoken = after.spoken
    if at + 1 < len(spoken) and spoken[at] in ("a", "an", "much", "far") and spoken[at + 1] in classes["bigger"]:
        return at + 2
    if at >= len(spoken):
        return 0
    if spoken[at] in classes["kind predicate"] or spoken[at] in classes["bigger"]:
        return at + 1
    superlative = at + 1 < len(spoken) and (spoken[at + 1] == "most" or spoken[at + 1].endswith("est"))
    return at + 2 if spoken[at] == "the" and superlative else 0


def _defined(
    after: _Words, number: int, mentions: list[Mention], forms: list[Form], classes: Mapping[str, frozenset[str]]
) -> int | None:
    """The number of the name that says what a kind is: "Savalia is a zoanthid", "krill are not fish"."""
    if number + 1 >= len(mentions) or not after.spoken or after.spoken[0] not in classes["copula"]:
        return None
    following = mentions[number + 1]
    gap = [word for token, word in zip(after.tokens, after.spoken, strict=True) if token < following.start][1:]
    if not after.tokens or following.start > after.tokens[-1] or forms[number + 1] in ("demonstrative", "definite"):
        return None
    known = classes["habit adverb"] | classes["in a definition"]
    return number + 1 if set(gap) <= known else None


def _asked_of_kind(
    before: _Words, after: _Words, mention: Mention, form: Form, classes: Mapping[str, frozenset[str]]
) -> int | None:
    """The place before a name of the verb that asks of its kind: "do squid sleep", "are sponges animals", "are there
    crabs", "what is an isopod"; None where nothing does.
    """
    spoken = before.spoken
    if spoken[-3:-1] == ("what", "is") and spoken[-1] in ("a", "an") and not (after.spoken and form == "demonstrative"):
        return len(spoken) - 3
    if mention.best.number != "plural":
        return None
    at = len(spoken)
    while at and spoken[at - 1] in classes["quantifier"]:
        at -= 1
    if at >= 2 and spoken[at - 2 : at] == ("are", "there"):
        return at - 2 if at == 2 and not set(after.spoken) & {"in", "on", "under", "behind", "there"} else None
    if not at or spoken[at - 1] not in classes["inverting"] or "the" in spoken[at:]:
        return None
    opens = at == 1 or spoken[at - 2] in (
        "what",
        "how",
        "why",
        "where",
        "when",
        "asks",
        "asked",
        "so",
        "but",
        "and",
        "is",
    )
    verb = after.past(classes["habit adverb"])
    if not opens or verb >= len(after.spoken):
        return None
    if spoken[at - 1] == "are":
        says = bool(_likeness(after, verb, classes)) or "really" in after.spoken[:verb]
        return at - 1 if says else None
    if spoken[at - 1] == "have":
        return None
    return at - 1
