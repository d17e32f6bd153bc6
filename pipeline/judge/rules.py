"""The rules of `words/claims.csv` and `words/claim_patterns.csv` and the modifiers of `words/modifiers.csv`, read and
checked.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from itertools import product
from pathlib import Path
from typing import Literal, cast, get_args

from earwitness.pipeline.words import WordRow, word_rows

Category = Literal[
    "hedge",
    "likeness",
    "alternative",
    "booster",
    "question",
    "inversion",
    "presupposed",
    "wh",
    "negation",
    "absence",
    "undone",
    "pseudo",
    "simile",
    "pseudo_simile",
    "general",
    "habitual",
    "prey",
    "meal",
    "host",
    "landmark",
    "figure",
    "recalled",
    "elsewhere",
    "termination",
    "restart",
]
Direction = Literal["forward", "backward", "both", "forward first", "within", ""]
SURENESS: frozenset[Category] = frozenset(
    {"hedge", "likeness", "alternative", "booster", "question", "inversion", "negation", "absence", "undone"}
)
"""Categories that say how sure the speaker is: their rules have bounds."""
DENIALS: frozenset[Category] = frozenset({"negation", "absence", "undone"})
"""What is not this, what is not there, and what was not done to any."""
QUESTIONS: frozenset[Category] = frozenset({"question", "inversion"})
"""Questions that offer a name, and questions that do so only of one not known yet ("did you see a crab")."""
_INERT: frozenset[Category] = frozenset({"wh", "pseudo", "pseudo_simile", "termination", "restart"})
"""Categories that act on no mention: they need no direction and no reach."""


@dataclass(frozen=True, slots=True)
class ClaimRule:
    """A row of the word list: `reach` is "sentence", "clause" or "N words"; low and high bound the certainty.

    `direction` "both" acts on the nearer side, "forward first" backward only where no name follows ("could be"),
    "within" on a name among its own words ("at a snail's pace"). `own`: it stands in the user's own list.
    """

    phrase: tuple[str, ...]
    category: Category
    direction: Direction
    reach: str
    low: float | None
    high: float | None
    source: str
    own: bool = False

    @property
    def certainty(self) -> float | None:
        """The middle of the interval."""
        return None if self.low is None or self.high is None else round((self.low + self.high) / 2, 3)


@dataclass(frozen=True, slots=True)
class Modifier:
    """Words that move the cue behind them: "very" half way to the end it points to, a negation half way to "no".

    Args:
        heads: first words of the cues it may stand before.
        effect: "to its end" or "to no".
    """

    phrase: tuple[str, ...]
    effect: str
    heads: frozenset[str]
    source: str


Modifiers = Mapping[str, tuple[Modifier, ...]]
_EFFECTS = ("to its end", "to no")


@dataclass(frozen=True, slots=True)
class RulesOfWord:
    """The rules that begin with one word, by their phrase, and the lengths of these phrases, longest first."""

    lengths: tuple[int, ...]
    by_phrase: Mapping[tuple[str, ...], ClaimRule]


Rules = Mapping[str, RulesOfWord]


@cache
def claim_rules(own: Path | None) -> Rules:
    """Rules by first word. Where two have one phrase, the later wins, and any of `claims` over a pattern."""
    by_first: dict[str, dict[tuple[str, ...], ClaimRule]] = {}
    for row in word_rows("claim_patterns", own) + word_rows("claims", own):
        rule = _rule(row)
        for phrase in alternatives(row["phrase"].lower()):
            by_first.setdefault(phrase[0], {})[phrase] = replace(rule, phrase=phrase)
    return {word: RulesOfWord(tuple(sorted({len(p) for p in r}, reverse=True)), r) for word, r in by_first.items()}


def alternatives(pattern: str) -> Iterator[tuple[str, ...]]:
    """The phrases of a pattern: "on|in the|that" is four; "_" joins the words of one alternative ("close_to|near"), and
    a word with "?" may be left out ("very|most? likely").
    """
    slots = []
    for word in pattern.split():
        ways = [tuple(way.split("_")) for way in word.rstrip("?").split("|") if way]
        slots.append([*ways, ()] if word.endswith("?") else ways)
    for chosen in product(*slots):
        if phrase := tuple(word for way in chosen for word in way if word):
            yield phrase


def _rule(row: WordRow) -> ClaimRule:
    category = cast(Category, row.one_of("category", get_args(Category)))
    direction = cast(Direction, row.one_of("direction", get_args(Direction)))
    reach = row["reach"]
    if reach not in ("", "clause", "sentence") and not (reach.endswith(" words") and reach[:-6].isdigit()):
        row.refuse(f"reach {reach!r} is not known", "clause, sentence or N words")
    if category not in _INERT and not (direction and reach):
        row.refuse(f"{category} has no direction or no reach", "a direction, and clause, sentence or N words")
    low, high = (row.number(bound) if row[bound] else None for bound in ("low", "high"))
    if category in SURENESS and (low is None or high is None or not 0 <= low <= high <= 1):
        row.refuse(f"{category} is not bounded by low and high", "0 <= low <= high <= 1")
    phrase, own = tuple(row["phrase"].lower().split()), Path(row.file).name != row.file
    return ClaimRule(phrase, category, direction, reach, low, high, row["source"], own)


@cache
def modifiers(own: Path | None) -> Modifiers:
    """Modifiers by first word, longest first."""
    by_first: dict[str, dict[tuple[str, ...], Modifier]] = {}
    for row in word_rows("modifiers", own):
        phrase = tuple(row["phrase"].lower().split())
        effect, heads = row.one_of("effect", _EFFECTS), frozenset(row["before"].lower().split())
        by_first.setdefault(phrase[0], {})[phrase] = Modifier(phrase, effect, heads, row["source"])
    return {w: tuple(sorted(m.values(), key=lambda modifier: -len(modifier.phrase))) for w, m in by_first.items()}


def modified(modifier: Modifier, base: ClaimRule) -> ClaimRule:
    """A rule with a modifier in front: bounds move half the distance to an end (Mosteller and Youtz 1990).

    "Very" moves a denial towards 0 and all else towards 1; a negation does the reverse. A negated booster is a hedge
    ("not definitely"), and so is a negated denial ("not unlikely"); a negated hedge denies ("not probable").
    """
    low, high = base.low or 0.0, base.high or 0.0
    denies, negates = base.category in DENIALS, modifier.effect == "to no"
    low, high = (low / 2, high / 2) if denies != negates else ((1 + low) / 2, (1 + high) / 2)
    category: Category = base.category
    if negates:
        category = "hedge" if denies or base.category == "booster" else "negation"
    phrase, source = modifier.phrase + base.phrase, f"{base.source}; {modifier.source}"
    return ClaimRule(phrase, category, base.direction, base.reach, round(low, 4), round(high, 4), source)
