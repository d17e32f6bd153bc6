"""Sizes in running words: lengths with a unit, and lengths counted in laser dots."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from earwitness.pipeline.describe.description import Size
from earwitness.pipeline.describe.stretch import Stretch, closed_words, with_role
from earwitness.pipeline.settle.numbers import number_at
from earwitness.pipeline.words import WordRow, word_rows
from earwitness.pipeline.words.phrases import Phrases

_ROLES = {
    "unit", "dimension", "question", "at least", "at most", "about", "laser", "laser width", "one laser width",
    "spacing", "not before", "not after", "thing", "part", "half", "and half", "range",
}  # fmt: skip
BY_EYE = "estimated by eye"
_NUMBER_WORDS = 12
"""Words looked at for one number; the longest that are said ("one thousand two hundred and thirty-four") have fewer."""
_BEFORE, _AFTER = 4, 3
_LONGEST_ANIMAL_CM = 6000.0
"""Longer than any animal: siphonophores are said to reach 50 m (from memory)."""
_LONGEST_SPACING_CM = 200.0
_CM = {"mm": 0.1, "cm": 1.0, "m": 100.0}


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number or a range at words [first, last)."""

    first: int
    last: int
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Measured:
    """A size said at words [first, last).

    Args:
        attributive: said before a name as an adjective: "a ten-centimetre crab".
        by_laser: read from the laser dots.
        clear: said to be a size, or so small that it can be nothing else; other lengths are sizes only where a size
            was asked for.
    """

    first: int
    last: int
    size: Size
    attributive: bool = False
    by_laser: bool = False
    clear: bool = True


@cache
def _table(role: str, own: Path | None) -> Phrases:
    return with_role("sizes", role, own)


@cache
def _checked(own: Path | None) -> bool:
    for row in word_rows("sizes", own):
        for role in row["role"].split("|"):
            if role not in _ROLES:
                row.refuse(f"role {role!r} is not known", ", ".join(sorted(_ROLES)))
        if {"unit", "half", "and half"} & set(row["role"].split("|")) and row.number("value") <= 0:
            row.refuse(f"value {row['value']!r} is not above nothing", "a number like 0.5")
        row.one_of("unit", ("", *_CM))
    return True


def _at(words: list[str], first: int, role: str, own: Path | None) -> tuple[int, WordRow] | None:
    """The longest phrase of a role that begins at word `first`: where it ends, and its row."""
    table = _table(role, own)
    for length in range(_longest(role, own), 0, -1):
        row = table.get(tuple(words[first : first + length]))
        if row is not None and first + length <= len(words):
            return first + length, row
    return None


@cache
def _longest(role: str, own: Path | None) -> int:
    return max(map(len, _table(role, own)), default=0)


def quantity_at(words: list[str], first: int, own: Path | None = None) -> Quantity | None:
    """The number or range that begins at a word: "three and a half", "half a", "ten to fifteen", "a hundred"."""
    low = _single(words, first, own)
    if low is None:
        return None
    run = _run_together(words, low)
    if run:
        return run
    joint = _at(words, low.last, "range", own)
    # Of "10-15 cm" the dash is no word.
    begin = joint[0] if joint else low.last if words[low.last : low.last + 1] and words[low.last][0].isdigit() else None
    high = _single(words, begin, own) if begin else None
    measured = high and (_is_measure(words, high.last, own) or _lasers_behind(words, high.last, own))
    if high and measured and high.low > low.low:
        return Quantity(first, high.last, low.low, high.low)
    return low


def _single(words: list[str], first: int, own: Path | None) -> Quantity | None:
    part = _at(words, first, "half", own)
    if part:
        return Quantity(first, part[0], part[1].number("value"), part[1].number("value"))
    window = words[first : first + _NUMBER_WORDS]
    if window[:1] in (["a"], ["an"]):
        behind = number_at(["one", *window[1:]], 0) if window[1:2] == ["hundred"] else None
        if behind is None and not (_at(words, first + 1, "unit", own) or _at(words, first + 1, "laser width", own)):
            return None
        value, last = (behind.value, first + behind.last) if behind else (1.0, first + 1)
    else:
        number = number_at(window, 0)
        if number is None or number.value <= 0:
            return None
        value, last = number.value, first + number.last
    half = _at(words, last, "and half", own)
    if half:
        value, last = value + half[1].number("value"), half[0]
    return Quantity(first, last, value, value)


def _run_together(words: list[str], said: Quantity) -> Quantity | None:
    """ "Ten fifteen centimetres" is a range, though as a number it would be put together to 1015."""
    window = words[said.first : said.last]
    for cut in range(1, len(window)):
        low, high = number_at(window[:cut], 0), number_at(window[cut:], 0)
        if low and high and (low.last, high.last) == (cut, len(window) - cut) and not (low.spelt or high.spelt):
            whole = number_at(window, 0)
            if whole and whole.spelt and 0 < low.value < high.value:
                return Quantity(said.first, said.last, low.value, high.value)
    return None


def _is_measure(words: list[str], at: int, own: Path | None) -> bool:
    return any(_at(words, at, role, own) for role in ("unit", "laser width", "laser"))


def sizes_in(stretch: Stretch, spacing_cm: float) -> list[Measured]:
    """The sizes said in a stretch, in order; none is a depth, a range, or the length of a part of the body."""
    own = stretch.own
    _checked(own)
    return list(_sizes(stretch, spacing_cm, own))


def _sizes(stretch: Stretch, spacing_cm: float, own: Path | None) -> Iterator[Measured]:
    words, at = stretch.words, 0
    while at < len(words):
        between = _at(words, at, "one laser width", own)
        quantity = None if at in stretch.in_name else quantity_at(words, at, own)
        found = None
        if between:
            found = _in_lasers(stretch, Quantity(at, between[0], 1, 1), between[0], spacing_cm)
        elif quantity:
            lasers = _lasers_behind(words, quantity.last, own)
            if lasers:
                found = _in_lasers(stretch, quantity, lasers[0], lasers[1] or spacing_cm)
            else:
                found = _in_units(stretch, quantity)
        if found:
            yield found
        at = max(found.last if found else 0, quantity.last if quantity else 0, at + 1)


def _lasers_behind(words: list[str], at: int, own: Path | None) -> tuple[int, float | None] | None:
    """Where "times the dots" or "of the ten-centimetre lasers" ends, and the spacing where it is said."""
    plain = _at(words, at, "laser width", own)
    if plain:
        return plain[0], None
    begin = at
    while begin < len(words) and begin < at + 3 and words[begin] in ("of", "times", "the", "those", "our", "these"):
        begin += 1
    spacing = _single(words, begin, own)
    unit = _at(words, spacing.last, "unit", own) if spacing and begin > at else None
    laser = _at(words, unit[0], "laser width", own) or _at(words, unit[0], "laser", own) if unit else None
    if spacing and unit and laser:
        return laser[0], spacing.low * unit[1].number("value") * _CM[unit[1]["unit"]]
    return None


def _in_lasers(stretch: Stretch, quantity: Quantity, last: int, spacing_cm: float) -> Measured | None:
    low, high = quantity.low * spacing_cm, quantity.high * spacing_cm
    if not 0 < high <= _LONGEST_ANIMAL_CM or not _stated(stretch, quantity.first, last):
        return None
    method = f"lasers {spacing_cm:g} cm apart"
    size = _size(low, high, "cm", method, _bound(stretch.words, quantity.first, last, stretch.own))
    return Measured(quantity.first, last, size, by_laser=True)


def _in_units(stretch: Stretch, quantity: Quantity) -> Measured | None:
    words, own = stretch.words, stretch.own
    unit = _at(words, quantity.last, "unit", own)
    if unit is None or unit[1]["unit"] == "" or quantity.low <= 0:
        return None
    last, row = unit
    factor = row.number("value")
    low, high = quantity.low * factor, quantity.high * factor
    said = "" if factor == 1 else f", converted from {_range(quantity.low, quantity.high)} {words[quantity.last]}"
    if row["unit"] == "m":
        low, high, last = _and_centimetres(words, low, high, last, own)
    if not 0 < high * _CM[row["unit"]] <= _LONGEST_ANIMAL_CM or not _stated(stretch, quantity.first, last):
        return None
    stated = _dimension(words, quantity.first, last, own)
    singular = not words[last - 1].endswith("s") and words[last - 1] not in ("feet", "m", "cm", "mm")
    attributive = singular and any(name.first - last in (0, 1, 2) for name in stretch.named)
    if singular and quantity.high > 1 and not attributive and _is_adjective(stretch, last):
        return None
    if not stated and _is_no_size(stretch, quantity.first, last):
        return None
    if _of_another(stretch, quantity.first, last):
        return None
    size = _size(low, high, row["unit"], BY_EYE + said, _bound(words, quantity.first, last, own))
    clear = stated or attributive or row["unit"] != "m"
    return Measured(quantity.first, last, size, attributive=attributive, clear=clear)


def _is_adjective(stretch: Stretch, last: int) -> bool:
    """Whether a length stands before a noun that is no name: "a twenty centimetre pipe"."""
    words = stretch.words
    open_ended = last >= len(words) or stretch.parted[last] or words[last] in closed_words(stretch.own)
    return not open_ended and not _at(words, last, "dimension", stretch.own)


def _stated(stretch: Stretch, first: int, last: int) -> bool:
    """Whether a size is said to be so; the "no" of "no more than" denies none, and "more like" is no simile."""
    bound = _bound(stretch.words, first, last, stretch.own)
    return stretch.asserts(first, reach=0 if bound else 2, similes=False)


def _and_centimetres(
    words: list[str], low: float, high: float, last: int, own: Path | None
) -> tuple[float, float, int]:
    """ "One metre twenty", "a metre and a half", "one metre and twenty centimetres"."""
    half = _at(words, last, "and half", own)
    if half:
        return low + half[1].number("value"), high + half[1].number("value"), half[0]
    begin = last + 1 if words[last : last + 1] == ["and"] else last
    number = number_at(words[begin : begin + _NUMBER_WORDS], 0)
    if number is None or not 10 <= number.value < 100 or number.spelt:
        return low, high, last
    unit = _at(words, begin + number.last, "unit", own)
    if unit and unit[1]["unit"] == "cm" and unit[1].number("value") == 1:
        return low + number.value / 100, high + number.value / 100, unit[0]
    if unit or begin > last:
        return low, high, last
    return low + number.value / 100, high + number.value / 100, begin + number.last


def _dimension(words: list[str], first: int, last: int, own: Path | None) -> bool:
    """Whether "long", "height" or the like stands right beside."""
    if _at(words, last, "dimension", own) or _at(words, last + 1, "dimension", own):
        return True
    return _dimension_before(words, first, own) is not None


def _dimension_before(words: list[str], first: int, own: Path | None) -> int | None:
    """Where a dimension begins that leads up to a size: "length is about", "a leg span of almost"."""
    at, least = first, max(first - _BEFORE, 0)
    while at > least:
        begin = next(
            (i for i in range(max(at - 3, 0), at) if (e := _at(words, i, "dimension", own)) and e[0] == at), -1
        )
        if begin >= 0:
            return begin
        if words[at - 1] != "of" and not any(_at(words, at - 1, r, own) for r in ("about", "at least", "at most")):
            return None
        at -= 1
    return None


def _is_no_size(stretch: Stretch, first: int, last: int) -> bool:
    """A depth, a range, a way to go: by the words just before and behind."""
    words, own = stretch.words, stretch.own
    # "Up to two metres": the bound takes its words before "up" can mean a direction.
    bounds = {i for i in range(max(first - _BEFORE, 0), first) if (e := _bound_at(words, i, own)) and e >= first}
    begin = min(bounds, default=first)
    for i in range(max(begin - _BEFORE, 0), begin):
        if _at(words, i, "not before", own) and i not in stretch.in_name and not any(stretch.parted[i + 1 : begin]):
            return True
    for i in range(last, min(last + _AFTER, len(words))):
        if stretch.parted[i]:
            break
        if _at(words, i, "not after", own) and i not in stretch.in_name:
            return True
    return False


def _of_another(stretch: Stretch, first: int, last: int) -> bool:
    """ "Its arms are ten centimetres long", "a wall of three metres": the size of a part, or of a thing."""
    words, own = stretch.words, stretch.own
    places = [] if _at(words, last, "dimension", own) else [last, last + 1]
    begin = _dimension_before(words, first, own)
    begin = first if begin is None else begin
    for i in range(begin - 1, max(first - _BEFORE, 0) - 1, -1):
        if stretch.parted[i + 1] or i in stretch.in_name:
            break
        if words[i - 1 : i] != ["without"]:
            places.append(i)
    return any(_at(words, i, role, own) for i in places for role in ("part", "thing") if i not in stretch.in_name)


def _bound_at(words: list[str], at: int, own: Path | None) -> int | None:
    for role in ("at least", "at most"):
        found = _at(words, at, role, own)
        if found:
            return found[0]
    return None


def _bound(words: list[str], first: int, last: int, own: Path | None) -> str:
    """ "at least", "at most" or nothing, by the longest phrase before a size, or by "or more" behind it."""
    for i in range(max(first - _BEFORE, 0), first):
        for role in ("at most", "at least"):
            before = _at(words, i, role, own)
            if before and before[0] == first:
                return role
    # "A metre or more", "a metre long at least".
    dimension = _at(words, last, "dimension", own)
    for at in {last, dimension[0] if dimension else last}:
        for role in ("at most", "at least"):
            behind = _at(words, at, role, own)
            closes = behind and (behind[0] == len(words) or words[at] == "or" or words[at] == "at")
            if closes:
                return role
    return ""


def _size(low: float, high: float, unit: str, method: str, bound: str) -> Size:
    parts = [method]
    if high > low:
        parts.append(f"{_range(low, high)} {unit}")
    if bound:
        parts.append(bound)
    return Size(round((low + high) / 2, 3), unit, ", ".join(parts))


def _range(low: float, high: float) -> str:
    return f"{low:g}-{high:g}" if high > low else f"{low:g}"


def spacing_in(stretch: Stretch) -> float | None:
    """The distance (cm) of the laser dots where a stretch says it: "the dots are ten centimetres apart"."""
    words, own = stretch.words, stretch.own
    _checked(own)
    if not stretch.phrases(_table("laser", own)) and not stretch.phrases(_table("laser width", own)):
        return None
    if not stretch.phrases(_table("spacing", own)) or stretch.asks == "whether":
        return None
    for at in range(len(words)):
        quantity = _single(words, at, own)
        unit = _at(words, quantity.last, "unit", own) if quantity else None
        if quantity and unit:
            value = quantity.low * unit[1].number("value") * _CM[unit[1]["unit"]]
            apart = words[unit[0] : unit[0] + 1] == ["apart"]
            before = any((e := _at(words, i, "spacing", own)) and at - e[0] <= 1 for i in range(max(at - 5, 0), at))
            if (apart or before) and 0 < value <= _LONGEST_SPACING_CM:
                return round(value, 3)
    return None


def asks_for_size(stretch: Stretch) -> bool:
    """Whether a stretch asks how big something is, or says that it is being measured."""
    return bool(stretch.phrases(_table("question", stretch.own)) or lasers_in(stretch))


def lasers_in(stretch: Stretch) -> bool:
    """Whether a stretch speaks of the lasers."""
    return bool(stretch.phrases(_table("laser", stretch.own)))
