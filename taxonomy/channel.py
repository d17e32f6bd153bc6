"""The noisy channel: heard symbols and a name's symbols come in, the cost of hearing the one for the other goes out.

A cost is a negative natural log probability. Up to three symbols of a name become up to three heard ones at a learned
price ("units"), after Brill and Moore 2000, "An improved error model for noisy channel spelling correction" (from
memory); the cheapest cutting of both strings counts. Refuses nothing: symbols never met cost the most.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
import numpy.typing as npt

from earwitness.taxonomy.tables import data_rows

Costs = Mapping[tuple[str, str], float]
"""(symbols of the name, symbols heard) -> cost; ("", x) is a symbol put in, (x, "") one left out."""
Symbols = npt.NDArray[np.uint8]

UNITS = ((1, 1), (2, 1), (1, 2), (2, 2), (3, 2), (2, 3), (1, 3), (3, 1))
"""Sizes of the units that replace something: (symbols of the name, symbols heard)."""
LONGEST = 64
"""Symbols of a string that are compared: longer ones are cut (0.01% of the large checklist's names)."""
NEVER = 1e6
_AT_ONCE = 4096


@dataclass(frozen=True, slots=True)
class _Side:
    """Numbers of the units of one side: of one symbol, of two, of three; 0 stands for no unit."""

    two: npt.NDArray[np.int32]
    three: npt.NDArray[np.int32]
    count: int


class Channel:
    """What captions make of names, symbol by symbol.

    channel = Channel(alphabet, costs)
    channel.costs(["kasi", "kasi"], ["kasion", "pasion"])   # array of two costs, the first the lower

    Args:
        alphabet: the symbols, one character each; others are compared as one unknown symbol.
        costs: learned costs of units.
    """

    def __init__(self, alphabet: str, costs: Costs):
        self._alphabet = alphabet
        self._codes = np.zeros(128, dtype=np.uint8)
        self._unknown = len(alphabet) + 1
        self._codes[:] = self._unknown
        for number, symbol in enumerate(alphabet, start=1):
            self._codes[ord(symbol)] = number
        self._size = len(alphabet) + 2
        names = sorted({name for name, _ in costs if len(name) > 1})
        heard = sorted({said for _, said in costs if len(said) > 1})
        self._name, name_numbers = self._side(names)
        self._heard, heard_numbers = self._side(heard)
        self._left_out = np.full(self._size, 6.0, dtype=np.float32)
        self._put_in = np.full(self._size, 6.0, dtype=np.float32)
        table = np.full((self._heard.count, self._name.count), NEVER, dtype=np.float32)
        # Symbols outside the alphabet are the same or not, nothing more is known of them.
        table[self._unknown, 1 : self._size] = table[1 : self._size, self._unknown] = 6.0
        table[self._unknown, self._unknown] = 0.5
        for (name, said), cost in costs.items():
            if not name:
                self._put_in[self._codes[ord(said)]] = cost
            elif not said:
                self._left_out[self._codes[ord(name)]] = cost
            else:
                table[heard_numbers(said), name_numbers(name)] = cost
        table[0, :] = table[:, 0] = NEVER
        # The padding behind a name's end costs nothing to leave out: the end is read off before it.
        self._left_out[0] = 0.0
        self._width = self._name.count
        self._table = table.ravel()

    def _side(self, units: list[str]) -> tuple[_Side, _Numbers]:
        size = self._size
        two = np.zeros(size**2, dtype=np.int32)
        three = np.zeros(size**3, dtype=np.int32)
        for number, unit in enumerate(units, start=size):
            (two if len(unit) == 2 else three)[self._place(unit)] = number
        return _Side(two, three, size + len(units)), _Numbers(self, two, three)

    def _place(self, unit: str) -> int:
        place = 0
        for symbol in unit:
            place = place * self._size + int(self._codes[ord(symbol)])
        return place

    def symbols(self, strings: Sequence[str]) -> Symbols:
        """Codes of the strings' symbols, (strings, longest string) padded with 0."""
        cut = [string[:LONGEST] for string in strings]
        longest = max(map(len, cut), default=0)
        raw = np.array(cut, dtype=f"<U{max(longest, 1)}")
        points = raw.view(np.uint32).reshape(len(cut), max(longest, 1))
        codes = np.where(points < 128, self._codes[np.minimum(points, 127)], np.uint8(self._unknown))
        codes[np.arange(points.shape[1]) >= np.fromiter(map(len, cut), np.int64, len(cut))[:, None]] = 0
        return codes

    def strings(self, symbols: Symbols) -> list[str]:
        """The strings of codes from `symbols`; an unknown symbol comes back as a question mark."""
        letters = np.frombuffer(f"\0{self._alphabet}?".encode("ascii"), dtype=np.uint8)[symbols]
        return [bytes(row).rstrip(b"\0").decode("ascii") for row in letters]

    def costs(self, heard: Sequence[str], names: Sequence[str]) -> npt.NDArray[np.float32]:
        """Cost of hearing heard[i] where names[i] was said, for every i."""
        return self.costs_of(self.symbols(heard), self.symbols(names))

    def costs_of(self, heard: Symbols, names: Symbols) -> npt.NDArray[np.float32]:
        """As `costs`, of codes from `symbols`; one row each a pair."""
        out = np.zeros(len(heard), dtype=np.float32)
        lengths = np.count_nonzero(heard, axis=1)
        # Pairs of about the same length are worked on together, so that little is spent on padding.
        order = np.lexsort((np.count_nonzero(names, axis=1), lengths))
        for begin in range(0, len(order), _AT_ONCE):
            some = order[begin : begin + _AT_ONCE]
            said, name = heard[some], names[some]
            said = said[:, : max(int(np.count_nonzero(said, axis=1).max()), 1)]
            name = name[:, : max(int(np.count_nonzero(name, axis=1).max()), 1)]
            out[some] = self._align(said, name)
        return out

    def _align(self, heard: Symbols, names: Symbols) -> npt.NDArray[np.float32]:
        """The table of cheapest alignments, heard symbol by heard symbol, all pairs at once."""
        pairs, length = names.shape
        lengths = np.count_nonzero(names, axis=1)
        heard_lengths = np.count_nonzero(heard, axis=1)
        name_units = self._units(names, self._name)
        heard_units = [unit * self._width for unit in self._units(heard, self._heard)]
        leaving_out = np.zeros((pairs, length + 1), dtype=np.float32)
        np.cumsum(self._left_out[names], axis=1, out=leaving_out[:, 1:])
        rows = [leaving_out.copy()]
        out = np.where(heard_lengths == 0, leaving_out[np.arange(pairs), lengths], np.float32(0))
        for at in range(1, heard.shape[1] + 1):
            row = rows[-1] + self._put_in[heard[:, at - 1]][:, None]
            for of_name, of_heard in UNITS:
                if of_heard > at or of_name > length:
                    continue
                unit = heard_units[of_heard - 1][:, at - 1]
                if of_heard == 1:
                    price = self._table[unit[:, None] + name_units[of_name - 1][:, of_name - 1 :]]
                    np.minimum(row[:, of_name:], rows[-1][:, :-of_name] + price, out=row[:, of_name:])
                    continue
                # Most runs of two or three heard symbols are no unit at all.
                met = np.flatnonzero(unit)
                if len(met):
                    price = self._table[unit[met, None] + name_units[of_name - 1][met, of_name - 1 :]]
                    price += rows[-of_heard][met, :-of_name]
                    row[met, of_name:] = np.minimum(row[met, of_name:], price)
            row = leaving_out + np.minimum.accumulate(row - leaving_out, axis=1)
            rows = [*rows[-2:], row]
            done = np.flatnonzero(heard_lengths == at)
            out[done] = row[done, lengths[done]]
        return out

    def _units(self, codes: Symbols, side: _Side) -> list[npt.NDArray[np.int32]]:
        """Numbers of the units of one, two and three symbols that end at each symbol."""
        one = codes.astype(np.int32)
        two = np.zeros_like(one)
        three = np.zeros_like(one)
        place = one[:, :-1] * self._size + one[:, 1:]
        two[:, 1:] = side.two[place]
        three[:, 2:] = side.three[place[:, :-1] * self._size + one[:, 2:]]
        return [one, two, three]


class _Numbers:
    """Number of a unit by its symbols."""

    def __init__(self, channel: Channel, two: npt.NDArray[np.int32], three: npt.NDArray[np.int32]):
        self._channel, self._two, self._three = channel, two, three

    def __call__(self, unit: str) -> int:
        place = self._channel._place(unit)
        if len(unit) == 1:
            return place
        return int((self._two if len(unit) == 2 else self._three)[place])


def read_costs(name: str) -> Iterator[tuple[tuple[str, str], float]]:
    """The learned costs of a data file (columns name, heard, cost)."""
    for row in data_rows(name):
        yield (row["name"], row["heard"]), float(row["cost"])


@cache
def learned(name: str, alphabet: str) -> Channel:
    """The channel of a data file."""
    return Channel(alphabet, dict(read_costs(name)))
