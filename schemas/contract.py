"""Schemas by name, and rows checked against them. A row that breaks its schema is our defect: ContractError.

The word is jsonschema's: a quick check goes before, which lets pass what it finds fine and decides nothing else.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from jsonschema import Draft202012Validator
from referencing import Registry, Resource

from earwitness.schemas.problems import ContractError
from earwitness.schemas.quick import Check, quick_check

SCHEMAS = ("event", "mention", "problem", "recording", "run", "utterance")


@cache
def load_schema(name: str) -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of one of SCHEMAS."""
    text = (files("earwitness.schemas") / f"{name}.schema.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


def columns(name: str) -> tuple[str, ...]:
    """The columns of a row, in the schema's order."""
    return tuple(load_schema(name)["properties"])


@cache
def _validator(name: str) -> Draft202012Validator:
    resources = [(load_schema(n)["$id"], Resource.from_contents(load_schema(n))) for n in SCHEMAS]
    return Draft202012Validator(load_schema(name), registry=Registry().with_resources(resources))


@cache
def _quick(name: str) -> Check:
    return quick_check(load_schema(name), {load_schema(n)["$id"]: load_schema(n) for n in SCHEMAS})


def validate(name: str, rows: Iterable[Mapping[str, Any]]) -> None:
    """Check rows (plain dicts of JSON values) against the schema of that name; cheap row by row too.

    Raises:
        ContractError: names the row, the column and what was expected.
    """
    is_fine = _quick(name)
    for number, row in enumerate(rows, start=1):
        if is_fine(row):
            continue
        error = next(iter(_validator(name).iter_errors(row)), None)
        if error is not None:
            column = ".".join(str(part) for part in error.absolute_path) or "row"
            raise ContractError(f"{name} row {number}: {column}: {error.message}")
