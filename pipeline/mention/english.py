"""How well words go on as ordinary English talk: a trigram model of English looks at every window of words.

The model is the one that comes with the package pocketsphinx (a speech recogniser's model of general American English,
trigrams with back-off, BSD licence). A window whose words surprise it, and where a noun like "crab" would not, may be
a bent name.
"""

from __future__ import annotations

from functools import cache, lru_cache

import numpy as np
import numpy.typing as npt
from pocketsphinx import NGramModel, get_model_path

from earwitness.pipeline.mention.spoken_words import SpokenWord

Matrix = npt.NDArray[np.float64]

ENGLISH = (
    "talk",
    "talkReplaced",
    "talkTogether",
    "talkNounBefore",
    "talkAfter",
    "talkNounAfter",
    "talkReplacedEach",
    "talkOddest",
    "talkUnknown",
)
"""What is told of a window, natural logs of probability: of its words where they stand; of them and the two words
behind, beside a noun in their place; of its words beside the same words each alone; of a noun where it begins; of the
two words behind; of those after a noun, beside that; the second, a word; of its oddest word; number of unknown words.
"""
_NOUNS = ("fish", "crab", "coral", "sponge")
"""Stand for any animal: common enough for the model to know what goes before and after them."""
_UNKNOWN = -17.0
"""Log probability of a word the model does not know; of those it knows the rarest come near it."""
_LOG_BASE = float(np.log(1.0001))
"""The model's own logarithms are to this base (CMU Sphinx's documented default)."""
_BEGIN, _END = "<s>", "</s>"


@cache
def _model() -> NGramModel:
    return NGramModel.readfile(get_model_path("en-us/en-us.lm.bin"))


@lru_cache(maxsize=50_000)
def _known(word: str) -> bool:
    return bool(_model().prob([word]) * _LOG_BASE > -1000)


@lru_cache(maxsize=20_000)
def log_probability(word: str, *before: str) -> float:
    """Natural log of the probability of a word after the one or two `before` it, the nearest first."""
    if not _known(word):
        return _UNKNOWN
    known = []
    for earlier in before:
        if not _known(earlier):
            break
        known.append(earlier)
    return max(float(_model().prob([word, *known])) * _LOG_BASE, _UNKNOWN)


class EnglishTalk:
    """The words of a recording as the model of English sees them.

    Args:
        words: in order.
    """

    def __init__(self, words: list[SpokenWord]):
        keys = [word.key for word in words]
        opens = [word.opens for word in words] + [True]
        size = len(keys)
        before = [_before(keys, opens, at) for at in range(size)]
        self._here = np.array([log_probability(keys[at], *before[at]) for at in range(size)])
        alone = np.array([log_probability(key) for key in keys])
        self._sum = np.concatenate([[0.0], np.cumsum(self._here)])
        self._alone = np.concatenate([[0.0], np.cumsum(alone)])
        self._unknown = np.concatenate([[0.0], np.cumsum([not _known(key) for key in keys])])
        nouns = [[log_probability(noun, *before[at]) for noun in _NOUNS] for at in range(size)]
        self._noun = np.array(nouns).reshape(size, len(_NOUNS))
        self._behind = np.array([_behind_nouns(keys, opens, at) for at in range(size + 1)])
        # Words behind as they stand: at the end of a sentence its end, which the words before it make likely or not.
        self._after = np.zeros(size + 1)
        for at in range(size + 1):
            if opens[at]:
                self._after[at] = log_probability(_END, keys[at - 1]) if at else 0.0
            else:
                self._after[at] = self._here[at] + (0.0 if opens[at + 1] else self._here[at + 1])

    def features(self, of: list[tuple[int, int]]) -> Matrix:
        """What is told of each window [first, last), (windows, ENGLISH)."""
        first, last = np.array(of, dtype=np.int64).reshape(len(of), 2).T
        talk = self._sum[last] - self._sum[first]
        after = self._after[last]
        noun_here = _log_mean(self._noun[first])
        with_noun = _log_mean(self._noun[first] + self._behind[last])
        replaced = talk + after - with_noun
        oddest = np.array([self._here[begin:end].min() for begin, end in of]).reshape(len(of))
        return np.stack(
            [
                talk,
                replaced,
                talk - (self._alone[last] - self._alone[first]),
                noun_here,
                after,
                with_noun - noun_here - after,
                replaced / np.maximum(last - first, 1),
                oddest,
                self._unknown[last] - self._unknown[first],
            ],
            axis=1,
        )


def _before(keys: list[str], opens: list[bool], at: int) -> tuple[str, ...]:
    """The two words before a place, nearest first; the beginning of its sentence stands for those before that."""
    if opens[at]:
        return (_BEGIN,)
    return (keys[at - 1], _BEGIN if opens[at - 1] else keys[at - 2])


def _behind_nouns(keys: list[str], opens: list[bool], at: int) -> list[float]:
    """Log probability of the one or two words from a place on, after each of the nouns."""
    if opens[at]:
        return [log_probability(_END, noun) for noun in _NOUNS]
    one = [log_probability(keys[at], noun) for noun in _NOUNS]
    if opens[at + 1]:
        return one
    return [here + log_probability(keys[at + 1], keys[at], noun) for here, noun in zip(one, _NOUNS, strict=True)]


def _log_mean(logs: Matrix) -> Matrix:
    """Logs of the mean of what these are logs of, row by row."""
    top = logs.max(axis=1, keepdims=True) if len(logs) else logs[:, :1]
    return np.asarray(top[:, 0] + np.log(np.exp(logs - top).mean(axis=1)))
