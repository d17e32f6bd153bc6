"""Moments of the dive that the talk marks: bottom times, samples with their container, images, highlights, targets.

In: a Doc and its mentions. Out: markers, one for each thing that was done however often it is spoken of.
What is asked, planned, denied or remembered marks nothing ("shall we sample?", "we will leave bottom soon").
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

from spacy.tokens import Doc, Span

from earwitness.pipeline.judge.cues import words_of
from earwitness.pipeline.segment import times_of
from earwitness.pipeline.settle.numbers import SpokenNumber, number_at
from earwitness.pipeline.settle.sentences import sentence_at
from earwitness.pipeline.settle.sighting import Note
from earwitness.pipeline.words import WordRow, word_rows
from earwitness.pipeline.words.phrases import Phrases, phrase_table, phrases_in

MARKER_TYPES = ("dive_start", "on_bottom", "off_bottom", "dive_end", "sample", "image", "highlight", "target")
"""As in schemas/event.schema.json."""

_BOTTOM_TIMES = ("dive_start", "on_bottom", "off_bottom", "dive_end")
_EFFECTS = ("denied", "undone", "asked", "planned", "passed", "later")
_REACH = {"denied": 4, "undone": 4, "asked": 9, "planned": 7, "passed": 9, "later": 8}
"""Words between a cue and the marker it unmakes (common practice, no source)."""
_PARTED_BY = {"and", "then", "now", "but", "so", "okay", "ok"}
_REQUESTS = ({"can", "could"}, {"we", "you", "i"})
_PATIENCE = dict.fromkeys(_BOTTOM_TIMES, 60.0) | {"sample": 30.0, "image": 12.0, "highlight": 12.0, "target": 12.0}
"""Seconds within which a repeated marker is the same one (common practice, no source): what happens once a dive is
spoken of by several; a sample is asked for, taken, stowed and logged."""
_MORE = {"another", "second", "third", "next", "more", "two"}
_RANK_WITHIN = 12
_ANSWER = 4
"""Words of a sentence that may still be about the marker before it: "Rank three.", "Bucket three."."""
_HIGHEST_RANK = 10
_NO_RANK_AFTER = {"that", "this", "the", "which", "another", "any"}


@cache
def _phrases(own: Path | None) -> Phrases:
    """Marker phrases, and longer ones in which their words mark nothing."""
    for row in word_rows("markers", own):
        row.one_of("markerType", MARKER_TYPES)
    return {**phrase_table("not_markers", own=own), **phrase_table("markers", own=own)}


@cache
def _cues(own: Path | None, side: str) -> Phrases:
    for row in word_rows("marker_cues", own):
        row.one_of("effect", _EFFECTS)
        row.one_of("side", ("before", "after"))
    return {tuple(row["phrase"].split()): row for row in word_rows("marker_cues", own) if row["side"] == side}


def markers_in(doc: Doc, taken: set[int], own: Path | None = None) -> list[Note]:
    """The markers of a Doc in order; `taken` are the tokens of mentions, whose words mark nothing."""
    found = [note for sentence in doc.sents for note in _of_sentence(doc, sentence, taken, own)]
    return _once(doc, found)


def _of_sentence(doc: Doc, sentence: Span, taken: set[int], own: Path | None) -> Iterator[Note]:
    """One marker of each type, at its first phrase."""
    tokens, words = words_of(doc, sentence.start, sentence.end)
    seen: set[str] = set()
    for first, last, row in phrases_in(words, _phrases(own)):
        kind = row.get("markerType", "")
        if not kind or kind in seen or taken & set(tokens[first:last]):
            continue
        about_animal = kind in _BOTTOM_TIMES and any(i in taken for i in tokens[:first])
        if about_animal or not _within_limits(words, row, own) or _unmade(doc, sentence, words, first, last, kind, own):
            continue
        seen.add(kind)
        note = Note("marker", kind, tokens[first], tokens[last - 1] + 1)
        if kind == "highlight":
            note = replace(note, rank=_rank(doc, sentence, last))
        if kind == "sample":
            note = replace(note, container=_container_near(doc, sentence, taken, own))
        yield note


def _within_limits(words: list[str], row: WordRow, own: Path | None) -> bool:
    """Whether a phrase that has other senses stands with a word it needs, or nearly alone ("on the bottom")."""
    limit = phrase_table("marker_limits", own=own).get(tuple(row["phrase"].lower().split()))
    if limit is None:
        return True
    return len(words) <= limit.number("words") or bool(set(limit["needs"].split("|")) & set(words))


def _unmade(doc: Doc, sentence: Span, words: list[str], first: int, last: int, kind: str, own: Path | None) -> bool:
    """Whether what the phrase marks is asked, planned, denied or remembered."""
    begin = first
    while begin and words[begin - 1] not in _PARTED_BY:
        begin -= 1
    before = words[max(begin, first - max(_REACH.values()) - 4) : first]
    for _, end, row in phrases_in(before, _cues(own, "before")):
        near = len(before) - end <= _REACH[row["effect"]]
        # "I'll make that a highlight" makes it one.
        if near and not (kind == "highlight" and row["effect"] == "planned") and not _is_request(before, end, row):
            return True
    after = words[last : last + _REACH["later"]]
    if any(start <= _REACH[row["effect"]] for start, _, row in phrases_in(after, _cues(own, "after"))):
        return True
    asked = any(token.text == "?" for token in doc[max(sentence.end - 2, sentence.start) : sentence.end])
    return asked and not _is_request(words, len(words), None) and "please" not in words


def _is_request(words: list[str], end: int, row: WordRow | None) -> bool:
    """ "Could we grab a frame": asked for, and so done, unless the talk says otherwise."""
    pairs = pairwise(words[: end + 1])
    asks = any(a in _REQUESTS[0] and b in _REQUESTS[1] for a, b in pairs)
    return asks and (row is None or row["effect"] == "planned")


def _rank(doc: Doc, sentence: Span, last: int) -> int | None:
    """The rank given to a highlight: the last whole number said with it, in its sentence or the short ones behind."""
    end = sentence.end
    while end < len(doc) and end - sentence.end < _RANK_WITHIN and not doc[end].is_space:
        if doc[end].is_sent_start and len(sentence_at(doc, end)) > _ANSWER:
            break
        end += 1
    _, words = words_of(doc, sentence.start, end)
    numbers = [number_at(words, at) for at in range(last, len(words)) if not _is_pronoun(words, at)]
    ranks = [n.value for n in numbers if n and not n.spelt and n.value == int(n.value) and 0 < n.value <= _HIGHEST_RANK]
    return int(ranks[-1]) if ranks else None


def _is_pronoun(words: list[str], at: int) -> bool:
    return words[at] == "one" and at > 0 and words[at - 1] in _NO_RANK_AFTER


def _container_near(doc: Doc, sentence: Span, taken: set[int], own: Path | None) -> str | None:
    """What a sample went into, in its sentence or in the short ones right behind: "Slurped. Bucket three."."""
    tokens, words = words_of(doc, sentence.start, sentence.end)
    if found := _container(tokens, words, taken, own, alone=False):
        return found
    at = sentence.end
    for _ in range(2):
        while at < len(doc) and doc[at].is_space:
            at += 1
        if at >= len(doc):
            return None
        behind = sentence_at(doc, at)
        tokens, words = words_of(doc, behind.start, behind.end)
        if found := _container(tokens, words, taken, own, alone=True):
            return found
        at = behind.end
    return None


def _container(tokens: list[int], words: list[str], taken: set[int], own: Path | None, alone: bool) -> str | None:
    """A container that something goes into ("in the left box"), or one with its number ("box two").

    `alone`: only in a sentence that says little else.
    """
    nouns = {row["word"].lower() for row in word_rows("containers", own)}
    for at, word in enumerate(words):
        if word not in nouns or tokens[at] in taken:
            continue
        begin = at
        while (
            begin and at - begin < 3 and words[begin - 1] not in ("in", "into", "to", "the", "a", "our", "your", "my")
        ):
            begin -= 1
        lead = words[max(begin - 2, 0) : begin]
        goes_in = bool(lead) and (lead[-1] in ("in", "into") or (len(lead) > 1 and lead[0] in ("in", "into")))
        end = at + 1
        number = _whole_number(words, end + 1 if words[end : end + 1] == ["number"] else end)
        if number:
            end = number.last
        elif words[end : end + 1] and len(words[end].rstrip(".")) == 1 and words[end] not in ("a", "i", "s"):
            # "Quiver B".
            end += 1
        if not goes_in:
            # No words of other things: "Thouarella, box two" is box two.
            begin = at - 1 if at and words[at - 1] in ("bio", "suction", "slurp", "push", "core", "niskin") else at
        if goes_in or (end > at + 1 and (not alone or end - begin >= len(words) - 1)):
            return " ".join(words[begin:end]).rstrip(".")
    return None


def _whole_number(words: list[str], at: int) -> SpokenNumber | None:
    number = number_at(words, at)
    return number if number and number.value == int(number.value) and number.value < 100 else None


def _once(doc: Doc, notes: list[Note]) -> list[Note]:
    """The same thing spoken of again within its time is marked once, at its first saying, with all that was said."""
    starts = times_of(doc).start
    kept: list[Note] = []
    latest: dict[str, tuple[int, float, float | None]] = {}
    for note in notes:
        now = float(starts[note.start])
        place, then, number = latest.get(note.type, (-1, 0.0, None))
        same = place >= 0 and now - then <= _PATIENCE[note.type] and not _is_another(doc, kept[place], number, note)
        if same:
            before = kept[place]
            kept[place] = replace(before, rank=note.rank or before.rank, container=before.container or note.container)
        else:
            kept.append(note)
            place = len(kept) - 1
        latest[note.type] = (place, now, _number_of(doc, note) or (number if same else None))
    return kept


def _is_another(doc: Doc, before: Note, number: float | None, note: Note) -> bool:
    """Whether a marker says that it is a new one: another `number`, another container, "another sample"."""
    here = _number_of(doc, note)
    if here and number and here != number:
        return True
    if before.container and note.container and before.container != note.container:
        return True
    _, words = words_of(doc, max(note.start - 3, sentence_at(doc, note.start).start), note.start)
    return bool(_MORE & set(words))


def _number_of(doc: Doc, note: Note) -> float | None:
    """The number a sample or target was given: "sample two"."""
    _, words = words_of(doc, note.end, min(note.end + 3, sentence_at(doc, note.start).end))
    number = _whole_number(words, 1 if words[:1] == ["number"] else 0)
    return number.value if number else None
