"""Learn `taxonomy/data/channel_sounds.csv` and `channel_letters.csv` from the development pairs.

    python -m tests.learn.channels

Every pair is cut in the cheapest way into units (some symbols of the name, the symbols heard for them); what is met
most becomes cheapest, neighbouring units are tried as one, and again: hard expectation maximisation, after Brill and
Moore 2000 (from memory). Deterministic. Figures on unseen names: `python -m tests.bench names`, which learns anew
without each fold.
"""

from __future__ import annotations

import csv
import math
import string
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise
from pathlib import Path

from earwitness.taxonomy.channel import UNITS
from earwitness.taxonomy.pronounce import PHONES, VOWELS
from tests.bench.places import DATA
from tests.learn.pairs import pairs

SOUNDS = "".join(PHONES.values())
LETTERS = string.ascii_lowercase
LETTER_VOWELS = "aeiouy"
ROUNDS = 5
FEWEST = 2
"""A unit of several symbols is met this often, or is dropped."""
HOPELESS = 2.2
"""Mean cost of a name's symbol from which on a pair is not learned from: the span is wrong, or it is beyond hearing."""
UNSEEN = 6.0
"""Added to the times a name's unit was met, for what it may become and was not seen to."""

Costs = dict[tuple[str, str], float]
Price = Callable[[str, str], float | None]


def learned_costs(taught: Sequence[tuple[str, str]], alphabet: str, vowels: str) -> Costs:
    """Costs of units learned from pairs of (name, heard) strings."""
    price: Price = _first_price(vowels)
    costs: Costs = {}
    for _ in range(ROUNDS):
        met: Counter[tuple[str, str]] = Counter()
        for name, heard in taught:
            cost, units = aligned(name, heard, price)
            if cost / max(len(name), 1) <= HOPELESS:
                met.update(units)
                for (name_1, heard_1), (name_2, heard_2) in pairwise(units):
                    joined = name_1 + name_2, heard_1 + heard_2
                    if (len(joined[0]), len(joined[1])) in UNITS and joined[0] != joined[1]:
                        met[joined] += 0.5  # type: ignore[assignment]
        costs = _priced(met, alphabet, vowels)
        price = lambda name, heard, known=costs: known.get((name, heard))  # noqa: E731
    return costs


def aligned(name: str, heard: str, price: Price) -> tuple[float, list[tuple[str, str]]]:
    """The cheapest cutting of both strings into units, and its cost."""
    best: list[list[tuple[float, int, int]]] = [[(math.inf, 0, 0)] * (len(heard) + 1) for _ in range(len(name) + 1)]
    best[0][0] = (0.0, 0, 0)
    sizes = (*UNITS, (0, 1), (1, 0))
    for i in range(len(name) + 1):
        for j in range(len(heard) + 1):
            so_far = best[i][j][0]
            if so_far == math.inf:
                continue
            for of_name, of_heard in sizes:
                if i + of_name <= len(name) and j + of_heard <= len(heard):
                    step = price(name[i : i + of_name], heard[j : j + of_heard])
                    if step is not None and so_far + step < best[i + of_name][j + of_heard][0]:
                        best[i + of_name][j + of_heard] = (so_far + step, of_name, of_heard)
    units: list[tuple[str, str]] = []
    i, j = len(name), len(heard)
    while (i, j) != (0, 0):
        _, of_name, of_heard = best[i][j]
        units.append((name[i - of_name : i], heard[j - of_heard : j]))
        i, j = i - of_name, j - of_heard
    return best[-1][-1][0], units[::-1]


def _first_price(vowels: str) -> Price:
    def price(name: str, heard: str) -> float | None:
        if len(name) + len(heard) > 2:
            return None
        if name == heard:
            return 0.1
        if not name or not heard:
            return 2.5
        return 2.0 if (name in vowels) == (heard in vowels) else 4.0

    return price


def _priced(met: Counter[tuple[str, str]], alphabet: str, vowels: str) -> Costs:
    """Negative log shares; what was met seldom or never costs no more than a guess."""
    totals: Counter[str] = Counter()
    for (name, _), times in met.items():
        totals[name] += times
    everything = sum(totals.values())
    costs: Costs = {}
    for (name, heard), times in met.items():
        if max(len(name), len(heard)) == 1 or times >= FEWEST:
            costs[name, heard] = -math.log(times / ((totals[name] if name else everything) + UNSEEN))
    for name in alphabet:
        for heard in alphabet:
            guess = 0.3 if name == heard else 4.5 if (name in vowels) == (heard in vowels) else 6.0
            costs[name, heard] = min(costs.get((name, heard), guess), guess)
        costs[name, ""] = min(costs.get((name, ""), 4.0), 5.0)
        costs["", name] = min(costs.get(("", name), 5.0), 6.0)
    return costs


def write(path: Path, costs: Costs) -> None:
    """Write costs in the order of their units."""
    with path.open("w", encoding="utf-8", newline="") as lines:
        rows = csv.writer(lines, lineterminator="\n")
        rows.writerow(("name", "heard", "cost", "source"))
        rows.writerows((name, heard, f"{cost:.3f}", "learned") for (name, heard), cost in sorted(costs.items()))


def learned_from(of: Iterable[tuple[str, str]], kind: str) -> Costs:
    """Costs of "sounds" or "letters" from (name, heard) pairs."""
    alphabet, vowels = (SOUNDS, VOWELS) if kind == "sounds" else (LETTERS, LETTER_VOWELS)
    known = set(alphabet)

    def cleaned(text: str) -> str:
        return "".join(symbol for symbol in text if symbol in known)

    return learned_costs([(cleaned(name), cleaned(heard)) for name, heard in of], alphabet, vowels)


def main() -> None:
    taught = pairs()
    write(DATA / "channel_sounds.csv", learned_from([pair.sounds for pair in taught], "sounds"))
    write(DATA / "channel_letters.csv", learned_from([pair.letters for pair in taught], "letters"))


if __name__ == "__main__":
    main()
