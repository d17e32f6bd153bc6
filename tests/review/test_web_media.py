"""Videos and sounds as a player asks for them; and what nobody gets by asking."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from contextlib import closing, contextmanager
from email import message_from_bytes
from pathlib import Path
from typing import Any

import pytest

from earwitness.pipeline.review import Desk
from earwitness.pipeline.review.web import answers
from earwitness.pipeline.review.web.films import Films
from earwitness.pipeline.review.web.media import TYPES, find_media
from earwitness.schemas import InputError
from tests.review import made
from tests.review.web_desk import Place, served

FILM = bytes(range(256)) * 40
"""10,240 bytes."""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    there = tmp_path / "videos"
    there.mkdir()
    (there / "saddle_01.webm").write_bytes(FILM)
    return there


@pytest.fixture
def place(desk: Desk, folder: Path) -> Iterator[Place]:
    with served(desk, folder) as there:
        yield there


def test_the_whole_and_a_part(place: Place) -> None:
    whole = place.get("/media/saddle_01")
    assert (whole.status_code, whole.content) == (200, FILM)
    assert whole.headers["content-type"] == "video/webm"
    assert whole.headers["accept-ranges"] == "bytes"
    assert "content-encoding" not in whole.headers
    part = place.get("/media/saddle_01", Range="bytes=1000-1009")
    assert (part.status_code, part.content) == (206, FILM[1000:1010])
    assert part.headers["content-range"] == "bytes 1000-1009/10240"
    assert part.headers["content-length"] == "10"
    assert place.get("/media/saddle_01", Range="bytes=-3").content == FILM[-3:]


def test_what_is_not_there_is_416_with_the_length(place: Place) -> None:
    past = place.get("/media/saddle_01", Range="bytes=10240-")
    assert past.status_code == 416
    assert past.headers["content-range"] == "bytes */10240"
    assert place.get("/media/saddle_01", Range="chapters=1").status_code == 200


def test_several_parts_as_in_the_published_example(place: Place) -> None:
    """RFC 9110, section 14.6: parts with a Content-Type and a Content-Range each, read by Python's mail parser."""
    told = place.get("/media/saddle_01", Range="bytes=500-999,7000-7999")
    assert told.status_code == 206
    assert "content-range" not in told.headers
    assert int(told.headers["content-length"]) == len(told.content)
    head = f"MIME-Version: 1.0\r\nContent-Type: {told.headers['content-type']}\r\n\r\n".encode()
    message = message_from_bytes(head + told.content)
    assert message.get_content_type() == "multipart/byteranges"
    parts = message.get_payload()
    assert [part["Content-Range"] for part in parts] == ["bytes 500-999/10240", "bytes 7000-7999/10240"]
    assert [part["Content-Type"] for part in parts] == ["video/webm"] * 2
    mark = told.headers["content-type"].partition("boundary=")[2].encode()
    bodies = [piece.partition(b"\r\n\r\n")[2] for piece in told.content.split(b"--" + mark)[1:-1]]
    assert [body.removesuffix(b"\r\n") for body in bodies] == [FILM[500:1000], FILM[7000:8000]]


def test_a_part_of_a_file_that_has_changed_is_the_whole_of_the_new_one(place: Place, folder: Path) -> None:
    etag = place.get("/media/saddle_01").headers["etag"]
    asked = {"Range": "bytes=0-1", "If-Range": etag}
    assert place.get("/media/saddle_01", **asked).status_code == 206
    (folder / "saddle_01.webm").write_bytes(FILM + b"more")
    changed = place.get("/media/saddle_01", **asked)
    assert (changed.status_code, len(changed.content)) == (200, len(FILM) + 4)
    assert changed.headers["etag"] != etag


def test_head_and_what_is_known(place: Place) -> None:
    with place.client() as client:
        head = client.head("/media/saddle_01", headers={"Range": "bytes=0-1"})
    assert (head.status_code, head.content, head.headers["content-length"]) == (200, b"", "10240")
    known = place.get("/media/saddle_01", **{"If-None-Match": head.headers["etag"]})
    assert (known.status_code, known.content) == (304, b"")


def test_a_file_of_more_than_four_gigabytes(place: Place, folder: Path) -> None:
    """A sparse one: where the file system has none, it is skipped."""
    size, last = 5 * 1024**3, b"the end"
    file = folder / "saddle_02.mp4"
    with file.open("wb") as film:
        film.seek(size - len(last))
        film.write(last)
    if file.stat().st_blocks * 512 > 1024**3:  # pragma: no cover
        file.unlink()
        pytest.skip("no sparse files here")
    told = place.get("/media/saddle_02", Range=f"bytes={size - 7}-")
    assert (told.status_code, told.content) == (206, last)
    assert told.headers["content-range"] == f"bytes {size - 7}-{size - 1}/{size}"
    assert place.get("/media/saddle_02", Range="bytes=4294967300-4294967303").content == bytes(4)


@pytest.mark.parametrize("ending", TYPES)
def test_every_kind_bears_its_type(folder: Path, ending: str) -> None:
    (folder / f"wall{ending.upper()}").write_bytes(b"x")
    found = find_media(folder, ["wall"])
    assert found is not None
    assert found.media_type == TYPES[ending]
    assert found.media_type.startswith(("video/", "audio/"))


@pytest.mark.parametrize("ending", [".html", ".svg", ".js", ".vtt", ".exe", ""])
def test_nothing_else_is_sent(folder: Path, ending: str) -> None:
    (folder / f"wall{ending}").write_bytes(b"x")
    assert find_media(folder, ["wall", f"wall{ending}"]) is None


@pytest.fixture(scope="module")
def shut(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Place]:
    """A desk whose folder of videos lies beside what is not for everybody."""
    there = tmp_path_factory.mktemp("shut")
    (there / "videos").mkdir()
    (there / "videos" / "saddle_01.webm").write_bytes(FILM)
    (there / "secret.mp4").write_bytes(b"secret")
    with closing(made.opened(made.write(there / "run"))) as desk, served(desk, there / "videos") as place:
        yield place


@pytest.mark.parametrize(
    "path",
    [
        "/media/..%2Fsecret.mp4",
        "/media/../secret",
        "/media/%2e%2e/secret",
        "/media/..%5Csecret",
        "/media//etc/passwd",
        "/media/saddle_01%00",
        "/media/saddle_01.webm",
        "/media/",
        "/static/..%2F..%2Fapp.py",
        "/static/__init__.py",
        "/static/desk.html",
        "/static/../web/app.py",
    ],
)
def test_no_path_leaves_the_folder(shut: Place, path: str) -> None:
    told = shut.get(path)
    assert told.status_code == 404
    assert told.json()["problem"]["kind"] == "unknown"


def test_no_link_leaves_the_folder(folder: Path, tmp_path: Path) -> None:
    (tmp_path / "elsewhere.mp4").write_bytes(b"secret")
    (folder / "out.mp4").symlink_to(tmp_path / "elsewhere.mp4")
    (folder / "round.mp4").symlink_to(folder / "round.mp4")
    (folder / "within.webm").symlink_to(folder / "saddle_01.webm")
    os.mkfifo(folder / "pipe.mp4")
    (folder / "deeper.mp4").mkdir()
    assert [find_media(folder, [name]) for name in ("out", "round", "pipe", "deeper")] == [None] * 4
    assert find_media(folder, ["within"]) is not None


def test_a_video_goes_before_a_sound_and_the_recording_before_the_described_file(folder: Path) -> None:
    for name in ("saddle_01.mp3", "CAM_7.MP4"):
        (folder / name).write_bytes(b"x")
    found = find_media(folder, ["saddle_01", "cam_7.mp4"])
    assert found is not None
    assert found.path.name == "saddle_01.webm"
    described = find_media(folder, ["saddle_02", "cam_7.mp4"])
    assert described is not None
    assert described.path.name == "CAM_7.MP4"


def _describe(run: Path, toml: str) -> Path:
    file = run.parent / "described.toml"
    file.write_text(toml, encoding="utf-8")
    summary = json.loads((run / "run.json").read_text("utf-8"))
    told = {"path": str(file), "sha256": "0" * 64, "id": "saddle", "recordingIDs": ["saddle_02"], "logs": []}
    (run / "run.json").write_text(json.dumps(summary | {"recordings": [told]}), encoding="utf-8")
    return run


def test_the_description_names_the_file_and_the_frames(run: Path, folder: Path) -> None:
    (folder / "CAM_7.mov").write_bytes(b"x")
    _describe(run, 'id = "saddle_02"\nframe_rate = "30000/1001"\n[[files]]\nname = "cards/CAM_7.mov"\n')
    desk = made.opened(run)
    try:
        films = Films(desk, folder)
        told = films.told("saddle_02")
        assert (told["media"], told["mediaType"]) == ("/media/saddle_02", "video/quicktime")
        assert told["frameRate"] == pytest.approx(29.97003)
        assert films.told("saddle_01")["frameRate"] is None
    finally:
        desk.close()


SEVERAL = """
id = "saddle_02"
frame_rate = 25
[[files]]
name = "cards/A.mxf"
duration = 60
[[files]]
name = "cards/B.mp4"
duration = "0:01:30.5"
[[files]]
name = "C.mp4"
duration = "00:00:10:05"
[[files]]
name = "D.mp4"
"""
"""Four files: three with a length, in seconds, as a time and as a time code of 25 frames a second."""


@contextmanager
def films_of(run: Path, folder: Path, toml: str) -> Iterator[Films]:
    with closing(made.opened(_describe(run, toml))) as desk:
        yield Films(desk, folder)


def stretches(films: Films, recording: str = "saddle_02") -> list[tuple[Any, ...]]:
    return [
        (part["name"], part["startTime"], part["endTime"], part["media"]) for part in films.told(recording)["parts"]
    ]


def test_one_file_is_one_part_of_the_same_address(desk: Desk, folder: Path) -> None:
    films = Films(desk, folder)
    assert stretches(films, "saddle_01") == [("saddle_01.webm", 0.0, None, "/media/saddle_01")]
    assert films.told("saddle_02") == {"media": None, "mediaType": None, "frameRate": None, "parts": []}


def test_several_files_follow_each_other_in_the_recordings_time(run: Path, folder: Path) -> None:
    for name in ("A.mp4", "b.MP4", "D.mp4"):
        (folder / name).write_bytes(name.encode())
    with films_of(run, folder, SEVERAL) as films:
        assert stretches(films) == [
            # What a browser does not play may lie there as what it plays.
            ("A.mxf", 0.0, 60.0, "/media/saddle_02?part=1"),
            ("B.mp4", 60.0, 150.5, "/media/saddle_02?part=2"),
            ("C.mp4", 150.5, 160.7, None),
            ("D.mp4", 160.7, None, "/media/saddle_02?part=4"),
        ]
        told = films.told("saddle_02")
        assert (told["media"], told["mediaType"], told["frameRate"]) == (None, None, 25.0)
        assert [part["mediaType"] for part in told["parts"]] == ["video/mp4", "video/mp4", None, "video/mp4"]
        assert films.lacking() == ["saddle_02 (C.mp4)"]


def test_each_part_is_sent_by_ranges_and_the_whole_is_not(run: Path, folder: Path) -> None:
    for name in ("A.mp4", "B.mp4", "D.mp4"):
        (folder / name).write_bytes(name.encode() * 10)
    with closing(made.opened(_describe(run, SEVERAL))) as desk, served(desk, folder) as place:
        [_, recording] = place.get("/api/run").json()["recordings"]
        answers.Recording.model_validate(recording, strict=True)
        second = place.get(recording["parts"][1]["media"], Range="bytes=5-9")
        assert (second.status_code, second.content) == (206, b"B.mp4")
        assert second.headers["content-range"] == "bytes 5-9/50"
        asked = ("/media/saddle_02", "/media/saddle_02?part=3", "/media/saddle_02?part=5", "/media/saddle_02?part=0")
        assert [place.get(path).status_code for path in asked] == [404, 404, 404, 422]
        assert place.get("/media/saddle_01?part=1").content == FILM


def test_a_joined_file_of_the_recording_goes_before_its_parts(run: Path, folder: Path) -> None:
    for name in ("A.mp4", "B.mp4", "saddle_02.mp4"):
        (folder / name).write_bytes(b"x")
    with films_of(run, folder, SEVERAL) as films:
        assert stretches(films) == [("saddle_02.mp4", 0.0, None, "/media/saddle_02")]


def test_the_first_of_several_is_not_the_whole_even_where_the_talk_is_named_so(run: Path, folder: Path) -> None:
    for name in ("saddle_02.mp4", "B.mp4"):
        (folder / name).write_bytes(b"x")
    listed = '[[files]]\nname = "saddle_02.mp4"\nduration = 9\n[[files]]\nname = "B.mp4"\n'
    with films_of(run, folder, f'id = "saddle"\ntranscripts = ["saddle_02.vtt"]\n{listed}') as films:
        assert [(start, end) for _, start, end, _ in stretches(films)] == [(0.0, 9.0), (9.0, None)]
        assert films.told("saddle_02")["media"] is None


def test_files_of_one_name_are_told_apart_by_their_folders(run: Path, folder: Path) -> None:
    for card in ("card1", "card2"):
        (folder / card).mkdir()
        (folder / card / "CLIP1.mp4").write_bytes(card.encode())
    listed = '[[files]]\nname = "card1/CLIP1.MP4"\nduration = 9\n[[files]]\nname = "card2\\\\CLIP1.MP4"\n'
    with films_of(run, folder, f'id = "saddle_02"\n{listed}') as films:
        found = [films.of("saddle_02", part) for part in (1, 2)]
        assert [media.path.read_bytes() for media in found if media] == [b"card1", b"card2"]


def test_a_file_that_two_of_a_list_may_be_is_neither(run: Path, folder: Path) -> None:
    (folder / "CLIP1.mp4").write_bytes(b"which?")
    listed = '[[files]]\nname = "card1/CLIP1.MP4"\nduration = 9\n[[files]]\nname = "card2/CLIP1.MP4"\n'
    with films_of(run, folder, f'id = "saddle_02"\n{listed}') as films:
        assert films.told("saddle_02")["parts"] == []


@pytest.mark.parametrize("name", ["../secret.mp4", "/etc/secret.mp4", "C:\\\\secret.mp4", "x/../../secret.mp4"])
def test_no_listed_name_leaves_the_folder(run: Path, folder: Path, name: str) -> None:
    (folder.parent / "secret.mp4").write_bytes(b"secret")
    (folder / "B.mp4").write_bytes(b"x")
    listed = f'[[files]]\nname = "{name}"\nduration = 9\n[[files]]\nname = "B.mp4"\n'
    with films_of(run, folder, f'id = "saddle_02"\n{listed}') as films:
        assert [media for *_, media in stretches(films)] == [None, "/media/saddle_02?part=2"]


@pytest.mark.parametrize(
    "wrong",
    [
        'frame_rate = "30/0"\n[[files]]\nname = "A.mp4"\nduration = 9\n[[files]]\nname = "B.mp4"',
        '[[files]]\nname = "A.mp4"\nduration = "00:00:10:05"\n[[files]]\nname = "B.mp4"',
        '[[files]]\nname = "A.mp4"\n[[files]]\nname = "B.mp4"',
    ],
    ids=["rate", "time code without rate", "no length"],
)
def test_a_list_without_times_shows_nothing_at_a_wrong_time(run: Path, folder: Path, wrong: str) -> None:
    for name in ("A.mp4", "B.mp4"):
        (folder / name).write_bytes(b"x")
    with films_of(run, folder, f'id = "saddle_02"\n{wrong}\n') as films:
        assert films.told("saddle_02")["parts"] == []


def test_a_folder_that_will_not_do_is_told(desk: Desk, folder: Path, tmp_path: Path) -> None:
    assert Films(desk, None).lacking() == []
    assert Films(desk, folder).lacking() == ["saddle_02"]
    empty = tmp_path / "empty"
    empty.mkdir()
    for wrong, reason in (
        (tmp_path / "nowhere", "no such folder"),
        (folder / "saddle_01.webm", "is no folder"),
        (empty, "has no file named like saddle_01.mp4"),
    ):
        with pytest.raises(InputError, match=reason):
            Films(desk, wrong).lacking()
