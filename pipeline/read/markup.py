"""Caption markup to plain runs of text.

In: the payload of a WebVTT or SubRip cue. Out: `Run`s, text with its voice and inner time, then `Part`s.
Refuses: nothing; what is no tag stays in the text as it stands.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from earwitness.pipeline.read.clock import clock_seconds
from earwitness.pipeline.read.findings import Part
from earwitness.pipeline.read.transcript import Word

KNOWN_TAGS = frozenset(("b", "i", "u", "s", "c", "v", "lang", "ruby", "rt", "rp", "font", "em", "strong", "span", "br"))
"""WebVTT's own tags and the HTML ones that SubRip files carry (common practice, no standard)."""

_TAG_HEAD = re.compile(r"(/?)([A-Za-z]*)((?:\.[^\s.]*)*)")
_INNER_TIME = re.compile(r"(?:([0-9]{1,4}):)?([0-9]{2}):([0-9]{2})\.([0-9]{3})")
# A semicolon is demanded: talk such as "R&D" or "&copy that" is no character reference.
_ENTITY = re.compile(r"&(?:#[0-9]{1,7}|#[xX][0-9a-fA-F]{1,6}|[A-Za-z][A-Za-z0-9]{1,31});")


@dataclass(frozen=True, slots=True)
class Run:
    """Text of one voice between two inner times; `time` (seconds) is set on the first run after one."""

    text: str
    speaker: str | None
    time: float | None = None


def resolve_entities(text: str) -> str:
    """Character references with their semicolon, once: `&amp;lt;` becomes `&lt;`."""
    return _ENTITY.sub(lambda match: html.unescape(match.group()), text) if "&" in text else text


def read_runs(text: str, *, keep_unknown: bool = False) -> tuple[list[Run], bool]:
    """Split a cue's payload by voice and inner time.

    Args:
        text: the payload.
        keep_unknown: leave tags that are in no list in the text (SubRip, which has no standard); WebVTT drops
            them (W3C WebVTT, cue text parsing rules). A `<` that opens no tag stays in the text in both.

    Returns:
        The runs, and whether a ruby gloss (a reading aid, never spoken beside its base) was left out.
    """
    state = _State()
    for piece, is_tag in _pieces(text):
        if not is_tag or not state.open_tag(piece[1:-1], keep_unknown):
            state.add(resolve_entities(piece))
    state.flush()
    return state.runs, state.gloss_dropped


def _pieces(text: str) -> Iterator[tuple[str, bool]]:
    """Text and possible tags in turn. Linear in the length, whatever stands in it."""
    position = 0
    while True:
        opening = text.find("<", position)
        closing = text.find(">", opening) if opening >= 0 else -1
        if closing < 0:
            yield text[position:], False
            return
        opening = text.rfind("<", opening, closing)
        yield text[position:opening], False
        yield text[opening : closing + 1], True
        position = closing + 1


class _State:
    """Where in the markup the reader stands."""

    def __init__(self) -> None:
        self.runs: list[Run] = []
        self.gloss_dropped = False
        self._buffer: list[str] = []
        self._voices: list[str | None] = []
        self._time: float | None = None
        self._in_gloss = False

    def add(self, text: str) -> None:
        if self._in_gloss:
            self.gloss_dropped = self.gloss_dropped or bool(text.strip())
        else:
            self._buffer.append(text)

    def flush(self) -> None:
        text = "".join(self._buffer)
        self._buffer.clear()
        if text:
            self.runs.append(Run(text, self._voices[-1] if self._voices else None, self._time))
            self._time = None

    def open_tag(self, tag: str, keep_unknown: bool) -> bool:
        """Act on a tag; False when it is none and stays as text."""
        inner = _INNER_TIME.fullmatch(tag)
        if inner:
            self.flush()
            self._time = clock_seconds(*inner.groups())
            return True
        head = _TAG_HEAD.match(tag)
        rest = tag[head.end() :] if head else ""
        if head is None or (rest and not rest[0].isspace() and rest != "/"):
            return False
        slash, name, classes = head.groups()
        annotation = rest.strip().removesuffix("/")
        if not name and (annotation or (keep_unknown and not classes)):
            return False
        if keep_unknown and name.lower() not in KNOWN_TAGS:
            return False
        self._act(name.lower(), bool(slash), " ".join(resolve_entities(annotation).split()))
        return True

    def _act(self, name: str, closes: bool, annotation: str) -> None:
        if name == "v":
            self.flush()
            if not closes:
                self._voices.append(annotation or None)
            elif self._voices:
                self._voices.pop()
        elif name in ("rt", "rp"):
            self._in_gloss = not closes
        elif name == "ruby" and closes:
            self._in_gloss = False
        elif name == "br":
            self.add("\n")


def make_parts(runs: list[Run], start: float, end: float | None) -> tuple[tuple[Part, ...], bool]:
    """Join runs of one voice into parts; inner times become word times.

    Words between two inner times share the time by text length. Inner times that run backwards or leave the
    cue are not used.

    Returns:
        The parts, and whether every inner time could be used.
    """
    marks = [run.time for run in runs if run.time is not None]
    usable = bool(marks) and end is not None and _rises([start, *marks, end])
    spans = _run_spans(runs, start, end) if usable and end is not None else []
    parts: list[Part] = []
    first = 0
    for group in _voice_groups(runs):
        here = spans[first : first + len(group)]
        text = "".join(run.text for run in group)
        words = _word_times(group, here) if here else ()
        begins = group[0].time if usable else None
        parts.append(Part(tuple(text.split("\n")), group[0].speaker, words, begins))
        first += len(group)
    return tuple(parts), usable or not marks


def _rises(times: list[float]) -> bool:
    return all(earlier <= later for earlier, later in pairwise(times))


def _voice_groups(runs: list[Run]) -> list[list[Run]]:
    """Runs by voice; a run without letters or digits belongs to the voice beside it."""
    groups: list[list[Run]] = []
    for run in runs:
        spoken = any(char.isalnum() for char in run.text)
        if groups and (run.speaker == groups[-1][0].speaker or not spoken):
            groups[-1].append(run)
        elif groups and not any(char.isalnum() for earlier in groups[-1] for char in earlier.text):
            opening = groups.pop()
            groups.append([Run(one.text, run.speaker, one.time) for one in opening] + [run])
        else:
            groups.append([run])
    return groups


def _run_spans(runs: list[Run], start: float, end: float) -> list[tuple[float, float]]:
    """The time of each run: runs between the same two inner times share it by text length."""
    chunks: list[tuple[float, list[Run]]] = []
    for run in runs:
        if run.time is not None or not chunks:
            chunks.append((start if run.time is None else run.time, []))
        chunks[-1][1].append(run)
    spans = []
    for position, (begin, members) in enumerate(chunks):
        finish = chunks[position + 1][0] if position + 1 < len(chunks) else end
        total = sum(len(run.text) for run in members)
        done = 0
        for run in members:
            shares = (begin + (finish - begin) * part / total for part in (done, done + len(run.text)))
            spans.append((next(shares), next(shares)))
            done += len(run.text)
    return spans


def _word_times(group: list[Run], spans: list[tuple[float, float]]) -> tuple[Word, ...]:
    starts: list[float] = []
    ends: list[float] = []
    for run, (begin, finish) in zip(group, spans, strict=True):
        lead = len(run.text) - len(run.text.lstrip())
        spoken = max(1, len(run.text.strip()))
        places = [min(max(place - lead, 0), spoken) for place in range(len(run.text) + 1)]
        times = [begin + (finish - begin) * place / spoken for place in places]
        starts.extend(times[:-1])
        ends.extend(times[1:])
    text = "".join(run.text for run in group)
    return tuple(
        Word(match.group(), starts[match.start()], ends[match.end() - 1]) for match in re.finditer(r"\S+", text)
    )
