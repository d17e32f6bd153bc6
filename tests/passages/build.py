"""Passages: short invented dives in one marked-up text a writer, read into the scripts of `tests.unseen.build`.

    python -m tests.passages.build [FILE ...]

names every breach of the rules of the gold, and the number of mentions by status. README.md tells the format.
"""

from __future__ import annotations

import re
import sys
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tests.passages import HELD_OUT
from tests.unseen.build import (
    BREATH_S,
    CERTAINTIES,
    CHECKLIST,
    COUNT,
    QUALIFIERS,
    STATUSES,
    WORDS_A_SECOND,
    Script,
    Utterance,
    problems,
    read_names,
)

HERE = Path(__file__).resolve().parent
PAUSE_MS, SILENCE_MS = 1000, 8000
"""Between two turns, and where a line "--" stands."""
_MENTION = re.compile(r"\[([^\[\]|]+)\|([^\[\]|]+)\|([^\[\]|]+)\]")
_TITLE = re.compile(r"== ([a-z][a-z0-9_]*)")
_EVENT = re.compile(r"(e\d+): (.+)")
_TURN = re.compile(r"([A-Z]\w*): (.+)")
_USUAL = {"observed": "certain", "hedged": "possible", "asked": "possible", "denied": "doubtful"}
_USUAL |= {"recalled": "certain", "elsewhere": "certain"}


class PassageError(ValueError):
    """A line that is none of the format: file, line and what is wrong."""


@dataclass
class _Draft:
    title: str
    turns: list[Utterance] = field(default_factory=list)
    events: list[dict[str, Any]] = field(default_factory=list)
    clock: int = 0


def passage_files(*, held_out: bool) -> list[Path]:
    """The files to learn from, or those held out."""
    return sorted(path for path in HERE.glob("*.txt") if (path.stem in HELD_OUT) == held_out)


def read_passages(path: Path, names: Mapping[str, str]) -> list[Script]:
    """The short dives of a file. `names` gives the rank by accepted name.

    Raises:
        PassageError: a line cannot be read; the words name file and line.
    """
    drafts: list[_Draft] = []
    for number, line in enumerate(path.read_text("utf-8").splitlines(), start=1):
        try:
            _read(line.strip(), drafts, names)
        except PassageError as error:
            raise PassageError(f"{path.name}:{number}: {error}") from None
    return [Script(draft.title, draft.turns, draft.events) for draft in drafts]


def _read(line: str, drafts: list[_Draft], names: Mapping[str, str]) -> None:
    if not line or line.startswith("#"):
        return
    if title := _TITLE.fullmatch(line):
        drafts.append(_Draft(title[1]))
        return
    if not drafts:
        raise PassageError("a line before the first title")
    draft = drafts[-1]
    if line == "--":
        draft.clock += SILENCE_MS
    elif event := _EVENT.fullmatch(line):
        draft.events.append(_event(event[1], event[2].split("|"), names))
    elif turn := _TURN.fullmatch(line):
        draft.turns.append(_turn(turn[1], turn[2], draft, names))
    else:
        raise PassageError(f"neither title, turn, event nor pause: {line[:60]!r}")


def _turn(speaker: str, marked: str, draft: _Draft, names: Mapping[str, str]) -> Utterance:
    text = _MENTION.sub(lambda mention: mention[1], marked)
    if set(text) & set("[]|"):
        raise PassageError(f"a mention is not [words|Name|marks]: {marked[:80]!r}")
    gold = [_mention(m[1], m[2].strip(), m[3].split(), names) for m in _MENTION.finditer(marked)]
    start = draft.clock
    end = start + round(1000 * (len(text.split()) / WORDS_A_SECOND + BREATH_S))
    draft.clock = end + PAUSE_MS
    return Utterance(len(draft.turns) + 1, start, end, speaker, text, gold)


def _mention(words: str, name: str, marks: Sequence[str], names: Mapping[str, str]) -> dict[str, Any]:
    status = next((mark for mark in marks if mark in STATUSES), None)
    if status is None:
        raise PassageError(f"{words!r} has no status")
    gold: dict[str, Any] = {"kind": "sighting", "verbatim": words, "name": name, "rank": names.get(name)}
    gold |= {"event": None, "status": status, "certainty": _USUAL.get(status), "count": None, "attrs": {}}
    for mark in marks:
        _mark(mark, gold)
    return gold


def _event(key: str, cells: Sequence[str], names: Mapping[str, str]) -> dict[str, Any]:
    name, marks = cells[0].strip(), cells[1].split() if len(cells) > 1 else []
    event: dict[str, Any] = {"event": key, "name": name, "rank": names.get(name), "certainty": "certain"}
    event |= {"count": None, "qualifier": None, "resolution": "as told", "is_occurrence": "none" not in marks}
    if not event["is_occurrence"]:
        event["certainty"] = "doubtful"
    wrapped: dict[str, Any] = {**event, "attrs": {}}
    for mark in marks:
        if mark != "none":
            _mark(mark, wrapped)
    return (
        event | {key: wrapped[key] for key in ("certainty", "count")} | {"qualifier": wrapped["attrs"].get("qualifier")}
    )


def _mark(mark: str, gold: dict[str, Any]) -> None:
    if mark in CERTAINTIES:
        gold["certainty"] = mark
    elif re.fullmatch(r"e\d+", mark):
        gold["event"] = mark
    elif mark[0] == "x" and COUNT.fullmatch(mark[1:]):
        gold["count"] = mark[1:]
    elif mark in QUALIFIERS:
        gold["attrs"]["qualifier"] = mark
    elif mark not in STATUSES:
        raise PassageError(f"no such mark as {mark!r}")


def _checked(path: Path, names: Mapping[str, str]) -> Iterator[str]:
    try:
        scripts = read_passages(path, names)
    except PassageError as error:
        yield str(error)
        return
    statuses: Counter[str] = Counter()
    for script in scripts:
        yield from (f"{path.name}: {problem}" for problem in problems(script, names))
        statuses.update(gold["status"] for turn in script.utterances for gold in turn.gold)
        unused = {e["event"] for e in script.events} - {g["event"] for t in script.utterances for g in t.gold}
        yield from (f"{path.name}: {script.dive}: nobody speaks of {event}" for event in sorted(unused))
    print(path.name, len(scripts), "dives,", sum(len(s.utterances) for s in scripts), "turns,", dict(statuses))


def main(arguments: Sequence[str]) -> int:
    """Check the files named, or all; 1 where a rule of the gold is broken."""
    names = read_names(CHECKLIST)
    paths = [Path(argument) for argument in arguments] or sorted(HERE.glob("*.txt"))
    found = [problem for path in paths for problem in _checked(path, names)]
    for problem in found:
        print(problem, file=sys.stderr)
    return bool(found)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
