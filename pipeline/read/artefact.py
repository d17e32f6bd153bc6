"""A recogniser's stutter, marked.

In: cues in time order. Out: the same cues, some with `mark` set.
Refuses: nothing; no cue is dropped, and emphasis in real talk stays unmarked.

A recogniser that loses the thread writes one word or phrase over and over ("stutter", inside a cue) or the
same line again and again ("repeat", over cues). People repeat themselves too ("Snails! Snails snails
snails."), so the thresholds stand above what talk does and below what loops do.
"""

from __future__ import annotations

from dataclasses import replace

from earwitness.pipeline.read.transcript import Cue

STUTTER_TIMES = {1: 6, 2: 5, 3: 5}
"""How often a unit of that many words must stand in a row. People were heard to say one word five times."""

STUTTER_TIMES_LONG = 4
"""The same for units of four words and more: no one says a whole phrase four times in a breath."""

STUTTER_LONGEST = 8
"""Longest unit (words) looked for."""

STUTTER_SHARE = 0.5
"""The row must be half the cue's words: in a long cue the rest is talk that must stay minable."""

REPEAT_TIMES = 3
"""How often a line of `REPEAT_WORDS` or more must come in a row."""

REPEAT_TIMES_SHORT = 5
"""The same for shorter lines: two people and a pilot do say "Okay." one after the other."""

REPEAT_WORDS = 4
"""Words that make a line long enough not to be said alike by chance."""

REPEAT_CYCLE_TIMES = 4
"""How often a cycle of two or three different lines must come round."""

REPEAT_GAP = 30.0
"""Seconds; a loop goes on from one stretch of audio to the next (recognisers commonly read 30 s at a time);
the same report after a longer pause ("No fish in view.") is a report."""


def mark_artefacts(cues: list[Cue]) -> list[Cue]:
    """Set `mark` on stuttering cues, and on repeated cues from the second on."""
    keys = [(cue.speaker, tuple(word_keys(cue.text))) for cue in cues]
    repeated = _repeated_places(cues, keys)
    marked: list[Cue] = []
    for place, cue in enumerate(cues):
        if is_stutter(list(keys[place][1])):
            marked.append(replace(cue, mark="stutter"))
        elif place in repeated:
            marked.append(replace(cue, mark="repeat"))
        else:
            marked.append(cue)
    return marked


def word_keys(text: str) -> list[str]:
    """Words as compared: case and everything but letters and digits ignored, empty ones left out."""
    keys = ("".join(filter(str.isalnum, token)).casefold() for token in text.split())
    return [key for key in keys if key]


def is_stutter(words: list[str]) -> bool:
    """Whether one unit of up to `STUTTER_LONGEST` words stands in a row often enough to be no talk."""
    for size in range(1, min(STUTTER_LONGEST, len(words) // 2) + 1):
        times = STUTTER_TIMES.get(size, STUTTER_TIMES_LONG)
        row = _longest_row(words, size)
        if row >= times * size and row >= STUTTER_SHARE * len(words):
            return True
    return False


def _longest_row(words: list[str], size: int) -> int:
    """Words in the longest stretch where each equals the one `size` before it, its first unit included."""
    longest = run = 0
    for place in range(size, len(words)):
        run = run + 1 if words[place] == words[place - size] else 0
        longest = max(longest, run)
    return longest + size if longest else 0


def _repeated_places(cues: list[Cue], keys: list[tuple[str | None, tuple[str, ...]]]) -> set[int]:
    """Places of the cues that repeat a line, the first time round left out."""
    repeated: set[int] = set()
    near = [place > 0 and cues[place].start - cues[place - 1].end <= REPEAT_GAP for place in range(len(cues))]
    for cycle in (1, 2, 3):
        run: list[int] = []
        for place in range(cycle, len(cues) + 1):
            if place < len(cues) and keys[place][1] and keys[place] == keys[place - cycle] and near[place]:
                run.append(place)
                continue
            if run and len(run) + cycle >= _loop_length(len(keys[run[0]][1]), cycle):
                repeated.update(run)
            run = []
    return repeated


def _loop_length(words: int, cycle: int) -> int:
    """How many cues in a row make a loop."""
    if cycle > 1:
        return REPEAT_CYCLE_TIMES * cycle
    return REPEAT_TIMES if words >= REPEAT_WORDS else REPEAT_TIMES_SHORT
