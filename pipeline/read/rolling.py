"""Rolling and overlapping captions read once.

In: drafts in time order. Out: the same without words that only stayed on the screen.
Refuses: to touch talk that repeats itself; every cut is reported.

Captions made for a screen show the last line again under a new one, or open a cue with the tail of the one
before. The rule: of two cues of one voice that follow one another (at most `JOIN_GAP` apart), the words that
end the first and open the second are cut from the second, if they are `STRONG_WORDS` or more (or whole shown
lines of two words or more) and the second has words of its own, and one of these holds: the cues overlap in
time; the words are whole lines of a cue that shows several; the pair before or after is such a pair too; the
file is rolling (at least two such pairs, and three in ten of all); or `ALONE_WORDS` or more words, and the
first cue is in mid-sentence where they begin. In a rolling file, whole lines and whole cues of any length
are cut, and cues with no new word are dropped. Elsewhere such a cue is dropped only beside a pair that needs
no support, or if it overlaps the first in time: said twice one after the other is talk, or a recogniser's
loop, which `artefact` marks.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from earwitness.pipeline.read.artefact import word_keys
from earwitness.pipeline.read.findings import Draft, Findings, Part, excerpt

JOIN_GAP = 0.25
"""Seconds; captions that roll follow without a pause, talk rarely does."""

OVERLAP = 0.05
"""Seconds; less is rounding, not two cues on the screen at once."""

STRONG_WORDS = 3
"""Two words repeated across a cue's edge ("go left", "go left") are common in talk."""

ALONE_WORDS = 4
"""One pair in a long file has only itself as evidence."""

ROLLING_SHARE = 0.3
"""Talk repeats three words over a cue's edge in fewer than one pair in fifty; rolling captions in most."""

_WINDOW = 200  # words looked at on each side of an edge: more than any screen shows


@dataclass(frozen=True, slots=True)
class _Pair:
    """How a cue repeats the one before it."""

    joined: bool = False
    shared: int = 0
    fresh: int = 0
    at_once: bool = False
    whole_lines: bool = False
    several_lines: bool = False
    mid_sentence: bool = False
    same_text: bool = False

    @property
    def strong(self) -> bool:
        return self.fresh > 0 and (self.shared >= STRONG_WORDS or (self.several_lines and self.shared >= 2))

    @property
    def alone(self) -> bool:
        """Strong enough without support from other pairs."""
        mid_sentence = self.shared >= ALONE_WORDS and self.mid_sentence
        return self.strong and (self.at_once or self.several_lines or mid_sentence)


def unroll(drafts: list[Draft], findings: Findings) -> list[Draft]:
    """Cut repeated words and drop cues that show nothing new, by the rule in this module's docstring.

    Args:
        drafts: sorted, each with an end.
        findings: takes one "mended" problem for each cue changed or dropped.
    """
    pairs = [_compare(before, after) for before, after in zip([None, *drafts], drafts, strict=False)]
    strong = sum(pair.strong for pair in pairs)
    joined = sum(pair.joined and not pair.same_text for pair in pairs)
    rolling = strong >= 2 and strong >= ROLLING_SHARE * joined
    kept: list[Draft] = []
    for place, (draft, pair) in enumerate(zip(drafts, pairs, strict=True)):
        beside = pairs[place - 1 : place] + pairs[place + 1 : place + 2]
        in_run = pair.strong and any(other.strong for other in beside)
        held = rolling or pair.at_once or any(other.alone for other in beside)
        if pair.shared and not pair.fresh and held:
            findings.mend(draft.line, f"nothing new in this caption, left out: {excerpt(draft.parts[0].text)}")
            if pair.at_once and kept and pair.same_text:
                kept[-1] = replace(kept[-1], end=max(kept[-1].end or 0.0, draft.end or 0.0))
        elif pair.alone or in_run or (rolling and pair.fresh and (pair.strong or pair.whole_lines)):
            cut = _without_head(draft.parts[0], pair.shared)
            findings.mend(draft.line, f"{pair.shared} words of the caption before it left out")
            if kept and kept[-1].end is not None and kept[-1].start < draft.start < kept[-1].end:
                kept[-1] = replace(kept[-1], end=draft.start)
            kept.append(replace(draft, parts=(cut,)))
        else:
            kept.append(draft)
    return kept


def _compare(before: Draft | None, after: Draft) -> _Pair:
    if before is None or len(before.parts) != 1 or len(after.parts) != 1 or before.end is None or after.end is None:
        return _Pair()
    first, second = before.parts[0], after.parts[0]
    gap = after.start - before.end
    if first.speaker != second.speaker or gap > JOIN_GAP:
        return _Pair()
    old, new = word_keys(first.text), word_keys(second.text)
    shared = _longest_overlap(old[-_WINDOW:], new[:_WINDOW])
    if not shared:
        return _Pair(joined=True)
    head_lines = [len(word_keys(line)) for line in second.lines]
    line_ends = {sum(head_lines[: count + 1]) for count in range(len(head_lines) - 1)}
    return _Pair(
        joined=True,
        shared=shared,
        fresh=len(new) - shared,
        at_once=-gap > OVERLAP,
        whole_lines=shared in line_ends or shared == len(old),
        several_lines=shared in line_ends,
        mid_sentence=shared < len(old) and not _ends_sentence(first.text, shared),
        same_text=old == new,
    )


def _longest_overlap(old: list[str], new: list[str]) -> int:
    """Most words that end `old` and open `new` (prefix function of Knuth, Morris and Pratt)."""
    joined: list[str | None] = [*new, None, *old]
    reach = [0] * len(joined)
    for place in range(1, len(joined)):
        length = reach[place - 1]
        while length and joined[place] != joined[length]:
            length = reach[length - 1]
        reach[place] = length + (joined[place] == joined[length])
    return reach[-1] if new and old else 0


def _keyed_tokens(text: str) -> list[int]:
    """Places of the tokens that have a key, among all tokens of the text."""
    return [place for place, token in enumerate(text.split()) if word_keys(token)]


def _ends_sentence(text: str, shared: int) -> bool:
    tokens, places = text.split(), _keyed_tokens(text)
    return bool(re.search(r"[.?!]\W*$", " ".join(tokens[: places[-shared]])))


def _without_head(part: Part, shared: int) -> Part:
    """The part without its first `shared` words and what hangs on them."""
    tokens = part.text.split()
    start = _keyed_tokens(part.text)[shared]
    words = part.words[start:] if len(part.words) == len(tokens) else ()
    return replace(part, lines=(" ".join(tokens[start:]),), words=words)
