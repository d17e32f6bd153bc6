"""What breaks a schema in a file that people write, in the words of the file: a line that lacks, a value that is none.

Only the first fault is told, the least deep first: a missing licence before a slip in some contact's address.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError

KeyPath = tuple[str | int, ...]
"""Keys and places in lists (from 0) on the way to a value."""
Rule = Mapping[str, Any]
_NOUNS = {
    "string": ("text", "text in quotes"),
    "number": ("number", "a number"),
    "integer": ("whole number", "a whole number"),
    "boolean": ("true or false", "true or false"),
    "array": ("list", "a list in [ ]"),
    "object": ("table", "a table"),
}
_EXAMPLES = {"date": "like 2031-11-03"}
_LONGEST = 80
"""Characters of a value that is quoted."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault: where its line is looked for, what is wrong, what was expected."""

    path: KeyPath
    reason: str
    expected: str


def first_fault(name: str, schema: Rule, values: Mapping[str, Any]) -> Fault | None:
    """The first thing in which values break a schema, None if they do not.

    Args:
        name: of the schema, for what has no words here.
        schema: the schema itself, whose descriptions are used.
        values: what is checked.
    """
    checker = Draft202012Validator(schema, format_checker=Draft202012Validator.FORMAT_CHECKER)
    errors = sorted(checker.iter_errors(values), key=_order)
    return _Words(name, schema).fault(errors[0]) if errors else None


def _order(error: ValidationError) -> tuple[int, bool, list[str]]:
    """By depth; a key that is unknown before one that is missing: it may be that one misspelt."""
    return len(error.absolute_path), error.validator != "additionalProperties", list(map(str, error.absolute_path))


def dotted(path: Iterable[str | int]) -> str:
    """A path as messages have it: files.2.start is the start of the second of the files."""
    return ".".join(str(part + 1) if isinstance(part, int) else part for part in path)


@dataclass(frozen=True, slots=True)
class _Words:
    name: str
    schema: Rule

    def fault(self, error: ValidationError) -> Fault:
        path: KeyPath = tuple(error.absolute_path)
        if "propertyNames" in error.schema_path:
            return self._unknown(path, error.instance, error.validator_value)
        match error.validator:
            case "additionalProperties":
                known = list(error.schema.get("properties", {}))
                return self._unknown(path, next(key for key in error.instance if key not in known), known)
            case "required":
                lacking = next(key for key in error.validator_value if key not in error.instance)
                return Fault(path, f"{dotted((*path, lacking))} is missing", self._line((*path, lacking)))
            case "dependentRequired":
                there, lacking = next(
                    (key, other)
                    for key, others in error.validator_value.items()
                    for other in others
                    if key in error.instance and other not in error.instance
                )
                reason = f"{dotted((*path, lacking))} is missing, as {there} is there"
                return Fault(path, reason, self._line((*path, lacking)))
            case "anyOf" | "oneOf" if all("required" in branch for branch in error.validator_value):
                return self._choice(path, [branch["required"][0] for branch in error.validator_value], error.instance)
        return Fault(path, f"{dotted(path)}: {self._found(error)}", self._value(path, error))

    def _unknown(self, path: KeyPath, key: str, known: Sequence[str]) -> Fault:
        guess = get_close_matches(key, known, 1)
        listed = f"one of {', '.join(known)}"
        reason = f"{dotted((*path, key))}: there is no such key"
        return Fault((*path, key), reason, f"{guess[0]}? {listed}" if guess else listed)

    def _choice(self, path: KeyPath, keys: Sequence[str], instance: Mapping[str, Any]) -> Fault:
        """Of several keys at least one, or just one, has to be there."""
        there = [key for key in keys if key in instance]
        if there:
            reason = f"{dotted(path)}: there cannot be {' and '.join(there)} at once"
            return Fault(path, reason, f"one of {', '.join(keys)}")
        lines = [self._shape((*path, key)) for key in keys]
        return Fault(path, f"{dotted(path)}: there is neither {' nor '.join(keys)}", " or ".join(lines))

    def _found(self, error: ValidationError) -> str:
        """What was found, and what is the matter with it."""
        shown = _shown(error.instance)
        match error.validator:
            case "type" if isinstance(error.validator_value, str):
                return f"{shown} is no {_NOUNS[error.validator_value][0]}"
            case "pattern" | "minLength" if not str(error.instance).strip():
                return f"{shown} is empty"
            case "uniqueItems":
                twice = next(item for place, item in enumerate(error.instance) if item in error.instance[:place])
                return f"{_shown(twice)} stands there twice"
            case "minItems" if not error.instance:
                return "the list is empty"
        return f"{shown} cannot be used"

    def _value(self, path: KeyPath, error: ValidationError) -> str:
        """What would have been right, for a value that is there."""
        rule = self._rule(path)
        meaning = _meaning(rule)
        form = _form(rule)
        match error.validator:
            case "enum":
                form = f"one of {', '.join(map(str, error.validator_value))}"
            case "uniqueItems":
                form = "each value once"
            case "minItems" | "maxItems":
                low, high = rule.get("minItems", 0), rule.get("maxItems")
                tables = rule["items"].get("type") == "object"
                form = self._shape(path) if tables else f"a list of {low}" + ("" if low == high else " or more")
            case "pattern" | "format":
                # It is text already.
                meaning = meaning or f"text of the form {rule.get('pattern') or rule.get('format')}"
                form = _EXAMPLES.get(rule.get("format", ""), "") if rule.get("pattern") != r"\S" else form
        told = [part for part in (form, meaning) if part]
        return ": ".join(told) or f"what schemas/{self.name}.schema.json tells"

    def _line(self, path: KeyPath) -> str:
        """The line or table that a key would stand in, and what it means."""
        rule = self._rule(path)
        choice = f"one of {', '.join(map(str, rule['enum']))}" if "enum" in rule else ""
        return ": ".join(part for part in (self._shape(path), choice, _meaning(rule)) if part)

    def _shape(self, path: KeyPath) -> str:
        """A key as it is written."""
        table = ".".join(part for part in path if isinstance(part, str))
        rule = self._rule(path)
        match rule.get("type"):
            case "object":
                return f"a table [{table}]"
            case "array" if rule["items"].get("type") == "object":
                return f"a table [[{table}]]"
            case "array":
                return f"a line {path[-1]} = [...]"
            case "string":
                return f'a line {path[-1]} = "..."'
        return f"a line {path[-1]} = ..."

    def _rule(self, path: KeyPath) -> dict[str, Any]:
        """The schema of the value at a path; its own description and that of what it refers to are kept apart."""
        rule = self._resolved(self.schema)
        for part in path:
            further = rule.get("additionalProperties")
            found = rule["items"] if isinstance(part, int) else rule.get("properties", {}).get(part) or further
            rule = self._resolved(found if isinstance(found, Mapping) else {})
        return rule

    def _resolved(self, rule: Rule) -> dict[str, Any]:
        if "$ref" in rule:
            target = self.schema["$defs"][rule["$ref"].rpartition("/")[2]]
            rule = {**target, "looks": target.get("description"), **rule}
        items = self._resolved(rule["items"]) if rule.get("items") else {}
        return {**rule, "items": items}


def _meaning(rule: Rule) -> str:
    """The first sentence of what a value means, and of what it looks like."""
    texts = dict.fromkeys(text for text in (rule.get("description"), rule.get("looks")) if text)
    told = [text.split(". ")[0].rstrip(".") for text in texts]
    # "RFC 3339" and "H:MM:SS" keep their capitals.
    return "; ".join(text[0].lower() + text[1:] if text[1:2].islower() or text[1:2] == " " else text for text in told)


def _form(rule: Rule) -> str:
    """What kind of value, and within which limits."""
    kind = rule.get("type")
    form = _NOUNS[kind][1] if isinstance(kind, str) else ""
    low, high = rule.get("minimum"), rule.get("maximum")
    if "exclusiveMinimum" in rule:
        return f"{form} above {rule['exclusiveMinimum']:g}"
    if low is not None and high is not None:
        return f"{form} from {low:.10g} to {high:.10g}"
    return f"{form} of {low:g} or more" if low is not None else form


def _shown(value: Any) -> str:
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return f"a list of {len(value)}"
    text = repr(value) if isinstance(value, str) else json.dumps(value)
    return text if len(text) <= _LONGEST else f"{text[:_LONGEST]}..."
