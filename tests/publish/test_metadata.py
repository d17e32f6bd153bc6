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
    ("text", "line", "told"),
    [
        (without("licence"), 0, 'licence is missing; expected a line licence = "...": a name from '),
        (without("rights_holder"), 0, 'rights_holder is missing; expected a line rights_holder = "...": who owns '),
        (without("title"), 0, 'title is missing; expected a line title = "..."'),
        (made.PUBLICATION.partition("[[contacts]]")[0], 0, "contacts is missing; expected a table [[contacts]]"),
        (made.PUBLICATION.replace("CC-BY-4.0", "free"), 5, "licence: 'free' is not known; expected one of CC-BY-4.0, "),
        (made.PUBLICATION.replace("CC-BY-4.0", " "), 5, "licence: ' ' is empty; expected text in quotes: a name "),
        (made.PUBLICATION.replace('licence = "CC-BY-4.0"', "licence = 4"), 5, "licence: 4 is no text; expected text"),
        (made.PUBLICATION.replace("2032-02-03", '"soon"'), 3, "published: 'soon' cannot be used; expected like 20"),
        (made.PUBLICATION.replace("2032-02-03", '"2032-02-30"'), 3, "published: '2032-02-30' cannot be used; "),
        (
            made.PUBLICATION.replace('surname = "Plum & Sons"', ""),
            11,
            'creators.1: there is neither surname nor organisation; expected a line surname = "..." or a line org',
        ),
        (made.PUBLICATION.replace("kettle_01.mp4", "kettle_01.mp4#t=1"), 20, "media.1.address: 'https://example.org/"),
        (
            made.PUBLICATION + made.PUBLICATION[made.PUBLICATION.index("[[media]]") :],
            22,
            "media.2: two files of 'kettle_01' begin at 0 s; expected 'from', the second",
        ),
        ("licence = ", 1, "is no TOML: Invalid value"),
        ("colour = 3\n" + made.PUBLICATION, 1, "colour: there is no such key; expected one of title, abstract, "),
        ('licnce = "x"\n' + without("licence"), 1, "licnce: there is no such key; expected licence? one of "),
        ("", 0, "title is missing; expected a line title = "),
    ],
)
def test_what_cannot_be_used_is_told_with_file_line_and_remedy(text: str, line: int, told: str, tmp_path: Path) -> None:
    file = made.metadata(tmp_path, text)
    with pytest.raises(InputError) as refused:
        read_publication(file)
    where = f"{file}:{line}" if line else str(file)
    assert str(refused.value).startswith(f"{where}: {told}")
    assert refused.value.problem.expected


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"nowhere\.toml: no such file; expected a TOML file"):
        read_publication(tmp_path / "nowhere.toml")


def test_bytes_that_are_no_text(tmp_path: Path) -> None:
    (tmp_path / "x.toml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(InputError, match=r"x\.toml:1: is no TOML: the byte 0xFF is not UTF-8"):
        read_publication(tmp_path / "x.toml")
