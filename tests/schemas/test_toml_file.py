"""Files that people write in TOML: one wording, whatever the schema, and nothing that crashes."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from earwitness.pipeline.place import read_recording
from earwitness.pipeline.publish import read_publication
from earwitness.schemas import InputError, load_schema
from earwitness.schemas.toml_faults import dotted, first_fault
from earwitness.schemas.toml_file import line_of, load_toml, read_toml
from tests.conftest import HERE

HEAD = 'id = "gannet_shelf_3"\nstart = 2030-01-02T03:04:05Z\n'


def told(folder: Path, text: str) -> str:
    (folder / "x.toml").write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as refused:
        read_toml(folder / "x.toml", "recording")
    return str(refused.value).removeprefix(f"{folder}/")


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        (
            "[site]\nlatitude = 4",
            "x.toml:3: site.longitude is missing, as latitude is there; expected a line longitude =",
        ),
        (
            '[site]\nlatitude = "x"\nlongitude = 3',
            "x.toml:4: site.latitude: 'x' is no number; expected a number from -90",
        ),
        (
            '[[logs]]\nfile = "a"\n[logs.columns]\ntime = "t"\npressure = "p"',
            "x.toml:3: logs.1.units is missing; expected a table [logs.units]: units of the columns",
        ),
        (
            '[[logs]]\nfile = "a"\n[logs.units]\ndepth = "m"\n[logs.columns]\ntime = "t"\npressure = "p"',
            "x.toml:5: logs.1.units.pressure is missing; expected a line pressure = ...: one of dbar, bar, kPa",
        ),
        (
            '[[logs]]\nfile = "a"\nformat = "xls"',
            "x.toml:5: logs.1.format: 'xls' cannot be used; expected one of csv, ",
        ),
        (
            '[[logs]]\nfile = "a"\nskip_lines = 1.5',
            "x.toml:5: logs.1.skip_lines: 1.5 is no whole number; expected a who",
        ),
        (
            '[[logs]]\nfile = "a"\ninterpolate_within = -1',
            "x.toml:5: logs.1.interpolate_within: -1 cannot be used; expected a number from 0 to 31536000: seconds ",
        ),
        ("[spikes]\ndepht = [1, 2]", "x.toml:4: spikes.depht: there is no such key; expected depth? one of position, "),
        ("[spikes]\ndepth = [1]", "x.toml:4: spikes.depth: a list of 1 cannot be used; expected a list of 2"),
        ('transcripts = ["b", "b"]', "x.toml:3: transcripts: 'b' stands there twice; expected each value once: names"),
        ('transcripts = "b"', "x.toml:3: transcripts: 'b' is no list; expected a list in [ ]: names of further"),
        ("people = [4]", "x.toml:3: people.1: 4 is no table; expected a table"),
        ("title = true", "x.toml:3: title: true is no text; expected text in quotes"),
        (
            "[uncertainty]\nposition_meters = 0",
            "x.toml:4: uncertainty.position_meters: 0 cannot be used; expected a number a",
        ),
        (
            "[[cuts]]\nat = 4\nremoved = 1\nresumes = 2030-01-02T04:00:00Z",
            "x.toml:3: cuts.1: there cannot be removed and resumes at once; expected one of removed, resumes",
        ),
        ("frame_rate = 'x'", "x.toml:3: frame_rate: 'x' cannot be used; expected frames a second: 25, 29.97 or"),
    ],
)
def test_every_kind_of_fault_in_words(tmp_path: Path, text: str, complaint: str) -> None:
    assert told(tmp_path, HEAD + text).startswith(complaint)


def test_the_least_deep_fault_is_told_first(tmp_path: Path) -> None:
    assert "id is missing" in told(tmp_path, "[[people]]\nrole = 4\n")
    assert "people.1.role: 4" in told(tmp_path, HEAD + '[[people]]\nname = "Ada"\nrole = 4\n')


@pytest.mark.parametrize("content", [b"a = ", b"a = 1\n\xff", b"a = " + b"[" * 5000, b"a = " + b"9" * 5000, None])
def test_both_readers_have_one_wording(tmp_path: Path, content: bytes | None) -> None:
    file = tmp_path / "x.toml"
    if content is not None:
        file.write_bytes(content)
    complaints = []
    for read, name in ((read_recording, "recording"), (read_publication, "publication")):
        with pytest.raises(InputError) as refused:
            read(file)
        assert refused.value.problem.expected.startswith("a TOML file as schemas/")
        complaints.append(str(refused.value).replace(name, "NAME"))
    assert complaints[0] == complaints[1]
    assert ("no such file" if content is None else "is no TOML: ") in complaints[0]


def test_lines_of_keys_and_tables() -> None:
    text = 'a = 1\n[b]\n"c" = 2\n[[d]]\ne = 1\n[[d]]\n\ne = 2\n[d.f]\ng.h = 3\n'
    paths = {
        ("a",): 1,
        ("b",): 2,
        ("b", "c"): 3,
        ("d", 0, "e"): 5,
        ("d", 1): 6,
        ("d", 1, "e"): 8,
        ("d", 1, "f", "g"): 10,
    }
    assert {path: line_of(text, path) for path in paths} == paths
    assert line_of(text, ()) == 0
    assert dotted(("d", 1, "e")) == "d.2.e"


JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-9, 99) | st.floats(allow_nan=False) | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=8,
)


CASES = [(name, key) for name in ("recording", "publication") for key in load_schema(name)["properties"]]
SOUND = {name: read_toml(HERE / f"fixtures/quillmere_canyon/{name}.toml", name).values for name, _ in CASES}


@given(st.sampled_from(CASES), JSON)
def test_any_value_of_any_key_is_told_in_words(case: tuple[str, str], value: object) -> None:
    name, key = case
    schema, values = load_schema(name), SOUND[name] | {key: value}
    fault = first_fault(name, schema, values)
    assert (fault is None) == Draft202012Validator(schema).is_valid(values)
    if fault is not None:
        assert re.match(rf"{key}(\.|: | is missing)", fault.reason)
        assert fault.expected


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.binary(max_size=200))
def test_no_bytes_crash(tmp_path: Path, content: bytes) -> None:
    file = tmp_path / "x.toml"
    file.write_bytes(content)
    reason = ""
    try:
        assert load_toml(file, "any TOML").text == content.decode("utf-8-sig")
    except InputError as refused:
        reason = refused.problem.reason
    assert reason.startswith("is no TOML: " if reason else "")
