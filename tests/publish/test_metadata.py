"""The metadata of a publication: the example, and what is refused with file, key and remedy."""

from __future__ import annotations

from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from earwitness.pipeline.publish import read_publication
from earwitness.pipeline.publish.metadata import known_licences
from earwitness.schemas import InputError, load_schema
from tests.publish import made


def test_the_schema_is_sound() -> None:
    Draft202012Validator.check_schema(load_schema("publication"))


def test_the_example_can_be_used(dive: Path) -> None:
    told = read_publication(dive / "publication.toml")
    assert told.licence.title == "Creative Commons Attribution 4.0 International"
    assert told.media_licence.address.startswith("https://creativecommons.org/licenses/by-nc/4.0")
    assert told.published == "2031-11-03"
    assert told.creators[0].name == "Odile Marrowby"
    assert told.contacts[0].name == "Quillmere Institute of Imaginary Oceans"
    assert [file.recording for file in told.media] == ["clean", "heard"]


def test_what_is_not_told_of_the_media_is_that_of_the_records(metadata: Path) -> None:
    told = read_publication(metadata)
    assert told.media_licence == told.licence
    assert told.media_rights_holder == "Museum of Invented Seas"


def test_a_licence_may_be_an_address(tmp_path: Path) -> None:
    other = read_publication(
        made.metadata(tmp_path, made.PUBLICATION.replace("CC-BY-4.0", "https://example.org/licence"))
    )
    assert other.licence.address == "https://example.org/licence"
    known = known_licences()["CC0-1.0"]
    same = read_publication(made.metadata(tmp_path, made.PUBLICATION.replace("CC-BY-4.0", known.address)))
    assert same.licence == known


def without(line: str) -> str:
    return "\n".join(part for part in made.PUBLICATION.split("\n") if not part.startswith(line))


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (without("licence"), r"licence is missing; expected a line licence = "),
        (without("rights_holder"), r"rights_holder is missing; expected a line rights_holder = "),
        (without("title"), "title is missing"),
        (made.PUBLICATION.partition("[[contacts]]")[0], "contacts is missing"),
        (made.PUBLICATION.replace("CC-BY-4.0", "free"), "licence 'free' is not known; expected one of CC-BY-4.0, "),
        (made.PUBLICATION.replace("CC-BY-4.0", " "), "licence: ' ' does not match"),
        (made.PUBLICATION.replace('licence = "CC-BY-4.0"', "licence = 4"), "licence: 4 is not of type 'string'"),
        (made.PUBLICATION.replace("2032-02-03", '"soon"'), "published: 'soon' does not match"),
        (
            made.PUBLICATION.replace('surname = "Plum & Sons"', ""),
            "creators.0: nobody is named; expected a surname or an",
        ),
        (made.PUBLICATION.replace("kettle_01.mp4", "kettle_01.mp4#t=1"), "media.0.address: "),
        (
            made.PUBLICATION + made.PUBLICATION[made.PUBLICATION.index("[[media]]") :],
            "two files of 'kettle_01' begin at 0 s",
        ),
        ("licence = ", "is no TOML: "),
        ("colour = 3\n" + made.PUBLICATION, "'colour' was unexpected"),
        ("", "title is missing"),
    ],
)
def test_what_cannot_be_used_is_told_with_file_and_remedy(text: str, told: str, tmp_path: Path) -> None:
    file = made.metadata(tmp_path, text)
    with pytest.raises(InputError, match=r"publication\.toml: ") as refused:
        read_publication(file)
    assert told in str(refused.value)
    assert refused.value.problem.expected


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"nowhere\.toml: cannot be read .*; expected a TOML file"):
        read_publication(tmp_path / "nowhere.toml")


def test_bytes_that_are_no_text(tmp_path: Path) -> None:
    (tmp_path / "x.toml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(InputError, match="is no TOML"):
        read_publication(tmp_path / "x.toml")
