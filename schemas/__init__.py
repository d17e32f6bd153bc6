"""The contract: JSON Schemas of every file of a run, and the errors and problems all rooms share."""

from earwitness.schemas.problems import ContractError, EarwitnessError, InputError, Problem, Severity

__all__ = ["ContractError", "EarwitnessError", "InputError", "Problem", "Severity"]
