"""The contract: JSON Schemas of every file of a run, and the errors and problems all rooms share."""

from earwitness.schemas.contract import SCHEMAS, columns, load_schema, validate
from earwitness.schemas.problems import ContractError, EarwitnessError, InputError, Problem, Severity

__all__ = [
    "SCHEMAS",
    "ContractError",
    "EarwitnessError",
    "InputError",
    "Problem",
    "Severity",
    "columns",
    "load_schema",
    "validate",
]
