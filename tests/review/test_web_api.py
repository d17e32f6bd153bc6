"""What the API answers: as it is described, in time, and whole."""

from __future__ import annotations

import gzip
import json
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import httpx
import pytest
from pydantic import BaseModel
from sqlalchemy.exc import OperationalError

from earwitness.pipeline.review import Desk, views
from earwitness.pipeline.review.web import answers
from earwitness.pipeline.review.web.json_text import dumped
from tests.review import made
from tests.review.web_desk import Place, served


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Place]:
    """A desk that nobody writes to."""
    run = made.write(tmp_path_factory.mktemp("read") / "run")
    with closing(made.opened(run)) as desk, served(desk) as there:
        yield there


@pytest.fixture
def anew(desk: Desk) -> Iterator[Place]:
    """A desk for this test alone."""
    with served(desk) as there:
        yield there


def checked(model: type[BaseModel], told: httpx.Response) -> dict[str, Any]:
    """An answer, held to its description to the last field."""
    assert told.status_code == 200, told.text
    model.model_validate_json(told.text, strict=True)
    value: dict[str, Any] = told.json()
    return value


def decision(action: str, *events: str, version: int = 0, **told: Any) -> dict[str, Any]:
    targets = [{"eventID": name, "version": version} for name in events]
    return {"uid": f"{action}-{len(events)}-{version}", "action": action, "targets": targets, **told}


@pytest.mark.parametrize(
    ("path", "model"),
    [
        ("/api/run", answers.RunHead),
        ("/api/events", answers.Events),
        (f"/api/events/{made.PAIR}", answers.Event),
        (f"/api/events/{made.MARKER}", answers.Event),
        ("/api/utterances/saddle_01", answers.Utterances),
        ("/api/names?q=par", answers.Names),
        (f"/api/names?q=mu&recordingID=saddle_01&eventID={made.LOBSTER}&limit=1", answers.Names),
        (f"/api/same-words?eventID={made.PAIR}", answers.SameWords),
        ("/api/redraft", answers.Redraft),
        ("/api/agreement", answers.Agreement),
    ],
)
def test_answers_are_as_described(place: Place, path: str, model: type[BaseModel]) -> None:
    checked(model, place.get(path))


def test_the_run_and_its_events(place: Place) -> None:
    run = place.get("/api/run").json()
    assert (run["me"], run["door"], run["title"]) == ("Ann", "open", "saddle_01 and 1 more")
    assert run["counts"] == {"total": 9, "draft": 9, "accepted": 0, "changed": 0, "rejected": 0, "ask": 0}
    told = place.get("/api/events").json()
    rows = [dict(zip(told["columns"], row, strict=True)) for row in told["rows"]]
    assert [row["eventID"] for row in rows] == list(place.desk.rows)
    assert {row["reviewStatus"] for row in rows} == {"draft"}


def test_what_is_decided_is_told_and_stands(anew: Place) -> None:
    told = checked(answers.Outcome, anew.post("/api/decisions", decision("accept", made.PAIR)))
    assert (told["last"], told["counts"]["accepted"], told["gone"]) == (1, 1, [])
    row = dict(zip(told["columns"], told["events"][0], strict=True))
    assert (row["eventID"], row["version"], row["reviewStatus"], row["reviewedBy"]) == (made.PAIR, 1, "accepted", "Ann")
    event = checked(answers.Event, anew.get(f"/api/events/{made.PAIR}"))
    assert [one["action"] for one in event["history"]] == ["accept"]
    undone = checked(answers.Outcome, anew.post("/api/undo", {"uid": "back"}))
    assert (undone["counts"]["draft"], undone["decisions"][0]["undoes"]) == (9, 1)
    again = checked(answers.Outcome, anew.post("/api/redo", {"uid": "again"}))
    assert again["counts"]["accepted"] == 1
    assert anew.get("/api/run").json()["last"] == 3


def test_people_and_the_machine_are_compared(anew: Place) -> None:
    for event in (made.PAIR, made.LOBSTER):
        made.Hands(anew.desk, "Bob").do("accept", event)
        made.Hands(anew.desk, "Cat").do("change", event, taxon_id="t8")
    told = checked(answers.Agreement, anew.get("/api/agreement"))
    assert (told["shared"], [one["name"] for one in told["reviewers"]]) == (2, ["Bob", "Cat"])
    table = anew.get("/api/agreement.csv")
    assert table.headers["content-type"] == "text/csv; charset=utf-8"
    assert "pair" in table.text
    page = anew.get("/agreement")
    assert (page.status_code, page.headers["content-type"]) == (200, "text/html; charset=utf-8")


def test_names_are_found_with_those_of_the_event_first(place: Place) -> None:
    told = place.get(f"/api/names?q=c&eventID={made.PAIR}").json()["names"]
    assert [one["scientificName"] for one in told[:2]] == ["Paragorgia", "Callogorgia"]
    found = place.get("/api/names?q=bubblegum").json()["names"][0]
    assert (found["matched"], found["marks"][0][0]) == ("bubblegum coral", 0)


def test_the_same_request_again_is_one_decision(anew: Place) -> None:
    body = decision("reject", made.PAIR, reason="twice")
    first, second = (anew.post("/api/decisions", body).json() for _ in range(2))
    assert first == second
    assert anew.desk.last == 1


@pytest.mark.parametrize(
    "body",
    [
        decision("change", made.PAIR, taxonID="t8"),
        decision("change", made.PAIR, set={"individualCount": 3, "certainty": 0.5, "identificationQualifier": None}),
        decision("ask", made.PAIR, note="Is that one?"),
        decision("split", made.PAIR, parts=[{"individualCount": 1}, {"individualCount": 2, "taxonID": "t8"}]),
        decision("merge", made.PAIR, made.PAIR_2, into=made.PAIR),
        decision("link", made.LOBSTER, into=made.PAIR, relation="on"),
        decision("accept", made.PAIR, made.PAIR_2, batch="b"),
        decision(
            "add", set={"startTime": 44.5, "recordKind": "occurrence"}, words={"recordingID": "saddle_01"}, taxonID="t8"
        ),
    ],
    ids=lambda body: str(body["action"]),
)
def test_every_action_answers_as_described_and_can_be_taken_back(anew: Place, body: dict[str, Any]) -> None:
    checked(answers.Outcome, anew.post("/api/decisions", body))
    for name in anew.desk.rows:
        checked(answers.Event, anew.get(f"/api/events/{name}"))
    checked(answers.Events, anew.get("/api/events"))
    checked(answers.Outcome, anew.post("/api/undo", {"uid": "back"}))
    assert {row["reviewStatus"] for row in anew.desk.rows.values()} == {"draft"}


def test_the_kept_events_are_those_that_stand(anew: Place) -> None:
    ann = made.Hands(anew.desk, "Ann")
    steps: list[Callable[[], object]] = [
        lambda: ann.do("ask", made.PAIR, note="Is it?"),
        lambda: ann.do("note", made.PAIR, note="It is."),
        lambda: ann.do("change", made.PAIR, taxon_id="t8"),
        lambda: ann.do("add", words={"recordingID": "saddle_01"}, columns={"startTime": 44.0}, taxon_id="t8"),
        ann.undo,
        ann.undo,
        ann.undo,
        ann.redo,
    ]
    for step in steps:
        step()
        assert anew.get("/api/events").json() == views.all_events(anew.desk)


def test_a_conflict_is_told_with_what_stands(anew: Place) -> None:
    made.Hands(anew.desk, "Bob").do("change", made.PAIR, taxon_id="t8")
    told = anew.post("/api/decisions", decision("accept", made.PAIR))
    assert told.status_code == 409
    answers.Problem.model_validate_json(told.text, strict=True)
    [event] = told.json()["problem"]["events"]
    assert (event["eventID"], event["by"], event["seen"], event["stands"]) == (made.PAIR, "Bob", 0, 1)
    assert event["row"]["scientificName"] == "Callogorgia"
    assert event["decision"]["action"] == "change"
    assert anew.desk.last == 1


@pytest.mark.parametrize(
    ("body", "where"),
    [
        ({}, "uid"),
        ({"uid": "a", "action": "delete"}, "action"),
        ({"uid": "", "action": "accept"}, "uid"),
        ({"uid": "a" * 101, "action": "accept"}, "uid"),
        (decision("accept", made.PAIR, extra=1), "extra"),
        (decision("accept", "x" * 501), "eventID"),
        (decision("accept", made.PAIR, note="x" * 2001), "note"),
        (decision("change", made.PAIR, set={"habitat": ["a list"]}), "habitat"),
        (decision("change", made.PAIR, set={"habitat": "x" * 2001}), "habitat"),
        (decision("change", made.PAIR, set={f"c{n}": 1 for n in range(61)}), "set"),
        (decision("accept", *(f"e{n}" for n in range(1001))), "targets"),
        (decision("accept", made.PAIR, version=-1), "version"),
        (decision("split", made.PAIR, parts=[{}] * 51), "parts"),
        (decision("add", words={"recordingID": "saddle_01", "utteranceStart": 1e300}), "utteranceStart"),
        ([], "body"),
    ],
)  # fmt: skip
def test_what_the_models_do_not_take_names_the_field(place: Place, body: Any, where: str) -> None:
    told = place.post("/api/decisions", body)
    assert (told.status_code, told.json()["problem"]["kind"]) == (422, "invalid")
    assert where in told.json()["problem"]["message"]
    assert place.desk.last == 0


@pytest.mark.parametrize(
    "content",
    [
        b'{"uid":"a","action":"change","set":{"certainty":NaN}}',
        b'{"uid":"a","action":"change","set":{"certainty":-Infinity}}',
        b'{"uid":"a","action":"accept","note":"\\ud800"}',
        b'{"uid":"a","action":"accept","\\ud800":1}',
        b'{"uid":"a\\u0000","action":"accept"}',
        b'{"uid":"a","action":"accept","targets":[{"eventID":"\\u0000","version":0}]}',
    ],
)
def test_values_that_are_none_are_refused(place: Place, content: bytes) -> None:
    with place.client() as client:
        headers = place.key() | {"Content-Type": "application/json"}
        told = client.post("/api/decisions", content=content, headers=headers)
    assert told.status_code in (404, 422), told.text
    assert told.json()["problem"]["message"]


@pytest.mark.parametrize(
    ("path", "status", "kind"),
    [
        ("/api/events/none", 404, "unknown"),
        ("/api/events/%00%E2%80%AE%F0%9F%90%99", 404, "unknown"),
        ("/api/events/a/b/../c", 404, "unknown"),
        ("/api/utterances/none", 404, "unknown"),
        ("/api/same-words?eventID=none", 404, "unknown"),
        ("/api/same-words", 422, "invalid"),
        ("/api/names?limit=0", 422, "invalid"),
        ("/api/names?limit=many", 422, "invalid"),
        ("/api/names?q=" + "x" * 201, 422, "invalid"),
        ("/api/changes?since=-1", 422, "invalid"),
        ("/api/changes?seconds=nan", 422, "invalid"),
        ("/api/", 404, "unknown"),
        ("/%FF", 404, "unknown"),
    ],
)
def test_what_cannot_be_read_is_told_in_the_contracts_form(place: Place, path: str, status: int, kind: str) -> None:
    told = place.get(path)
    assert (told.status_code, told.json()["problem"]["kind"]) == (status, kind)
    answers.Problem.model_validate_json(told.text, strict=True)


def test_what_is_known_is_not_sent_again(anew: Place) -> None:
    for path in ("/api/events", "/api/utterances/saddle_01", "/static/main.js"):
        etag = anew.get(path).headers["etag"]
        known = anew.get(path, **{"If-None-Match": etag})
        assert (known.status_code, known.content) == (304, b""), path
    etag = anew.get("/api/events").headers["etag"]
    anew.post("/api/decisions", decision("accept", made.PAIR))
    assert anew.get("/api/events", **{"If-None-Match": etag}).status_code == 200


def test_what_bears_the_key_or_changes_is_never_kept(place: Place) -> None:
    for path in ("/", "/api/run", f"/api/events/{made.PAIR}", "/api/redraft"):
        assert place.get(path).headers["cache-control"] == "no-store", path


def test_large_answers_are_packed_and_small_ones_are_not(place: Place) -> None:
    with place.client() as client, client.stream("GET", "/api/events", headers={"Accept-Encoding": "gzip"}) as told:
        packed = b"".join(told.iter_raw())
        assert told.headers["content-encoding"] == "gzip"
    assert json.loads(gzip.decompress(packed)) == place.get("/api/events").json()
    assert "content-encoding" not in place.get("/api/redraft").headers


def test_hostile_text_arrives_as_it_is_and_as_json(tmp_path: Path) -> None:
    hostile = '</script><img src=x onerror="alert(1)"> \u2028 \x00 \N{OCTOPUS}'
    rows = made.events()
    rows[1] |= {"transcriptText": hostile}
    with closing(made.opened(made.write(tmp_path / "run", rows))) as desk, served(desk) as place:
        told = place.get(f"/api/events/{rows[1]['eventID']}")
        assert told.json()["row"]["transcriptText"] == hostile
        assert told.headers["content-type"] == "application/json"


def test_half_a_character_is_still_json() -> None:
    assert json.loads(dumped({"a\ud800": "\udfff\n\u2028 é"})) == {"a\ud800": "\udfff\n\u2028 é"}
    with pytest.raises(ValueError, match="JSON"):
        dumped(float("nan"))


def test_a_database_that_does_not_answer_is_503(anew: Place, monkeypatch: pytest.MonkeyPatch) -> None:
    def gone(*_: object) -> None:
        raise OperationalError("select", {}, ConnectionError("server gone"))

    monkeypatch.setattr(anew.desk.store, "since", gone)
    for told in (anew.get("/api/events"), anew.post("/api/decisions", decision("accept", made.PAIR))):
        assert (told.status_code, told.json()["problem"]["kind"]) == (503, "closed")
        assert "server gone" in told.json()["problem"]["message"]


def test_a_defect_is_told_without_its_inside(anew: Place, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError("the inside")

    monkeypatch.setattr(views, "details", broken)
    told = anew.get(f"/api/events/{made.PAIR}")
    assert (told.status_code, told.json()["problem"]["kind"]) == (500, "defect")
    assert "inside" not in told.text
    assert told.headers["x-content-type-options"] == "nosniff"


def test_a_decision_looks_at_its_own_events_alone(anew: Place, monkeypatch: pytest.MonkeyPatch) -> None:
    """However many events there are, a decision costs what its own cost."""
    seen: list[str] = []
    compact: Callable[..., list[Any]] = views.compact

    def watched(desk: Desk, name: str) -> list[Any]:
        seen.append(name)
        return compact(desk, name)

    monkeypatch.setattr(views, "compact", watched)
    anew.post("/api/decisions", decision("accept", made.PAIR))
    assert seen == [made.PAIR]


def test_openapi_names_and_describes_every_operation(place: Place) -> None:
    told = place.get("/api/openapi.json").json()
    operations = [(path, method, one) for path, methods in told["paths"].items() for method, one in methods.items()]
    names = [one["operationId"] for _, _, one in operations]
    assert len(set(names)) == len(names) == 17
    for path, method, one in operations:
        assert one.get("description"), (path, method)
        assert one["responses"].keys() & {"200"}, (path, method)
        writes = method in ("post", "delete") and (path, method) != ("/api/session", "post")
        assert bool(one.get("security")) is writes, (path, method)
    for name, schema in told["components"]["schemas"].items():
        assert schema.get("description") or schema.get("enum"), name
    assert "HTTPValidationError" not in told["components"]["schemas"]
