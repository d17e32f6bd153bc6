"""Letters to phones: which phones each letter of a word says, worked out from both alone.

A letter says 0, 1 or 2 phones, at odds learned by expectation maximisation over all ways to share them out. Refuses
an alignment whose letters would say what they hardly ever say.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence

Alignment = tuple[str, ...]
"""The phones of each letter of a word."""
Odds = Mapping[str, Mapping[str, float]]
"""Letter -> its phones ("" where silent) -> odds."""

LEAST = 1e-9
UNLIKELY = -2.5
"""Mean log odds of a letter under which an alignment is not believed: abbreviations, words that are spelled out."""


def reachable(letters: int, sounds: int, letter: int) -> range:
    """How many phones may be said before this letter, so that the rest still fits the rest."""
    return range(max(0, sounds - 2 * (letters - letter)), min(sounds, 2 * letter) + 1)


def counted(word: str, sounds: str, odds: Odds, counts: dict[str, dict[str, float]]) -> None:
    """Add to the counts how often each letter is expected to say what, by the forward and backward sums."""
    ahead = [[0.0] * (len(sounds) + 3) for _ in range(len(word) + 1)]
    ahead[0][0] = 1.0
    for i, letter in enumerate(word):
        for j in reachable(len(word), len(sounds), i):
            for k in range(min(3, len(sounds) - j + 1)):
                ahead[i + 1][j + k] += ahead[i][j] * odds[letter].get(sounds[j : j + k], LEAST)
    total = ahead[-1][len(sounds)]
    if not total:
        return
    behind = [0.0] * len(sounds) + [1 / total]
    for i in range(len(word) - 1, -1, -1):
        before = [0.0] * (len(sounds) + 1)
        for j in reachable(len(word), len(sounds), i):
            for k in range(min(3, len(sounds) - j + 1)):
                sound = sounds[j : j + k]
                rest = odds[word[i]].get(sound, LEAST) * behind[j + k]
                counts[word[i]][sound] += ahead[i][j] * rest
                before[j] += rest
        behind = before


def learned_odds(pairs: Sequence[tuple[str, str]], rounds: int = 6) -> Odds:
    """Odds of letter and phones by expectation maximisation; at first one phone or none is likelier than two."""
    heard = {sounds[i : i + k] for _, sounds in pairs for i in range(len(sounds)) for k in (0, 1, 2)}
    odds = {
        letter: {sound: 0.001 if len(sound) > 1 else 0.05 for sound in heard} for word, _ in pairs for letter in word
    }
    for _ in range(rounds):
        counts: dict[str, dict[str, float]] = {letter: defaultdict(float) for letter in odds}
        for word, sounds in pairs:
            counted(word, sounds, odds, counts)
        odds = {
            letter: {sound: count / sum(said.values()) for sound, count in said.items()}
            for letter, said in counts.items()
        }
    return odds


def likeliest(sounds: str, odds: Sequence[Mapping[str, float]]) -> Alignment | None:
    """The likeliest phones of each letter, or nothing where even those are not to be believed."""
    best: dict[int, tuple[float, Alignment]] = {0: (0.0, ())}
    for letter, chances in enumerate(odds, start=1):
        following: dict[int, tuple[float, Alignment]] = {}
        fits = reachable(len(odds), len(sounds), letter)
        for j, (score, path) in best.items():
            for k in (0, 1, 2):
                if j + k in fits:
                    sound = sounds[j : j + k]
                    total = score + math.log(max(chances.get(sound, 0.0), LEAST))
                    if j + k not in following or total > following[j + k][0]:
                        following[j + k] = total, (*path, sound)
        best = following
    score, path = best.get(len(sounds), (-math.inf, ()))
    return path if score / len(odds) > UNLIKELY else None
