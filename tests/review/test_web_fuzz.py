"""Every operation of the API, tried with what its description allows and with what it does not, by schemathesis.

Held to: no failure of ours, statuses, headers and bodies as described, what is wrong refused and what is right not.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from hypothesis.errors import Unsatisfiable
from schemathesis import GenerationMode
from schemathesis.specs.openapi.checks import positive_data_acceptance

from tests.review import made
from tests.review.web_desk import Place, served

EXAMPLES = 12
"""For each operation: all of it within a minute."""


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Place]:
    there = tmp_path_factory.mktemp("fuzz")
    (there / "videos").mkdir()
    (there / "videos" / "saddle_01.mp4").write_bytes(bytes(5000))
    with closing(made.opened(made.write(there / "run"))) as desk, served(desk, there / "videos") as place:
        yield place


@pytest.fixture(scope="module")
def api(place: Place) -> schemathesis.BaseSchema:
    return schemathesis.openapi.from_url(f"{place.url}/api/openapi.json")


OPERATIONS = (
    "GET /api/run",
    "GET /api/events",
    "GET /api/events/{event_id}",
    "GET /api/utterances/{recording_id}",
    "GET /api/names",
    "GET /api/same-words",
    "GET /api/redraft",
    "GET /api/agreement",
    "GET /api/agreement.csv",
    "GET /api/changes",
    "GET /media/{recording_id}",
    "HEAD /media/{recording_id}",
    "POST /api/decisions",
    "POST /api/undo",
    "POST /api/redo",
    "POST /api/session",
    "DELETE /api/session",
)

NOTHING_WRONG = (
    "GET /api/run",
    "GET /api/events",
    "GET /api/redraft",
    "GET /api/agreement",
    "GET /api/agreement.csv",
    "DELETE /api/session",
    # Nor is any text wrong as a name in a path: there is none of that name, at the worst.
    "GET /api/events/{event_id}",
    "GET /api/utterances/{recording_id}",
    "GET /media/{recording_id}",
    "HEAD /media/{recording_id}",
)


def test_no_operation_is_forgotten(api: schemathesis.BaseSchema) -> None:
    assert {result.ok().label for result in api.get_all_operations()} == set(OPERATIONS)


@pytest.mark.parametrize("mode", [GenerationMode.POSITIVE, GenerationMode.NEGATIVE], ids=["as described", "not so"])
@pytest.mark.parametrize("label", OPERATIONS)
def test_every_operation_keeps_its_word(
    api: schemathesis.BaseSchema, place: Place, label: str, mode: GenerationMode
) -> None:
    method, path = label.split(" ")
    operation = api[path][method]

    @given(case=operation.as_strategy(generation_mode=mode))
    @settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=list(HealthCheck))
    def tried(case: schemathesis.Case) -> None:
        if path == "/api/changes":
            # A stream without an end has none for a test either.
            case.query = {**(case.query or {}), "seconds": 0}
        # Values may fit their fields and not each other: that is told as 422 too.
        free = [positive_data_acceptance] if path == "/api/decisions" else []
        case.call_and_validate(headers=place.key(), excluded_checks=free)

    try:
        tried()
    except Unsatisfiable:
        # There is nothing that could be wrong of what takes nothing.
        assert mode is GenerationMode.NEGATIVE
        assert label in NOTHING_WRONG
