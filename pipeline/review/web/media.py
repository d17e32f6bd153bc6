"""A folder with videos and sounds comes in; the file of a recording goes out, whole or in parts.

No path leaves the folder, not by a link either, and nothing but what browsers play is sent. Parts are those of RFC
9110, section 14; files may be of any size.
"""

from __future__ import annotations

import hashlib
import os
import secrets
from collections.abc import AsyncGenerator, Sequence
from dataclasses import dataclass
from email.utils import formatdate
from pathlib import Path
from typing import BinaryIO

from anyio import to_thread
from starlette.requests import Request
from starlette.responses import Response

from earwitness.pipeline.review.web import ranges
from earwitness.pipeline.review.web.streams import Stream

TYPES = {
    ".mp4": "video/mp4",
    ".webm": "video/webm",
    ".m4v": "video/mp4",
    ".mov": "video/quicktime",
    ".ogv": "video/ogg",
    ".m4a": "audio/mp4",
    ".mp3": "audio/mpeg",
    ".opus": "audio/ogg",
    ".ogg": "audio/ogg",
    ".oga": "audio/ogg",
    ".wav": "audio/wav",
    ".flac": "audio/flac",
    ".aac": "audio/aac",
}
"""Ending -> media type, of what browsers may play, videos first and the surest first. Types are as registered with
IANA, but audio/wav, which is what browsers call it."""
_PIECE = 256 * 1024
"""Bytes that are read at a time."""


@dataclass(frozen=True, slots=True)
class Media:
    """The file of a recording."""

    path: Path
    media_type: str


def find_media(folder: Path | None, names: Sequence[str]) -> Media | None:
    """The file of a recording.

    Args:
        folder: where the files lie.
        names: what it may be called, with or without its ending, the likeliest first: the recordingID, then the file
            that the recording's description names. A name may say in which folder of the folder it lies.
    """
    return find_all(folder, [names])[0] if folder is not None else None


def find_all(folder: Path, each: Sequence[Sequence[str]]) -> list[Media | None]:
    """The files of several recordings, each as `find_media` finds it; every folder is looked into once."""
    try:
        whole = folder.resolve(strict=True)
    except OSError:
        return [None] * len(each)
    looked: dict[str, dict[str, Path]] = {}
    return [_find(whole, names, looked) for names in each]


def _find(whole: Path, names: Sequence[str], looked: dict[str, dict[str, Path]]) -> Media | None:
    for name in names:
        inside, _, last = name.rpartition("/")
        if inside not in looked:
            looked[inside] = _files_in(whole / inside)
        stem = last.casefold()
        for known, kind in TYPES.items():
            path = looked[inside].get(stem if stem.endswith(known) else f"{stem}{known}")
            if path is not None and _is_within(path, whole):
                return Media(path, kind)
    return None


def _files_in(folder: Path) -> dict[str, Path]:
    try:
        return {path.name.casefold(): path for path in sorted(folder.iterdir())}
    except (OSError, ValueError):
        return {}


def _is_within(path: Path, whole: Path) -> bool:
    try:
        real = path.resolve(strict=True)
    except (OSError, RuntimeError):
        return False
    return real.is_relative_to(whole) and real.is_file()


async def send_media(request: Request, media: Media) -> Response:
    """The answer to a request for a file.

    Raises:
        OSError: the file is gone.
    """
    info = await to_thread.run_sync(_info, media.path)
    size = info.st_size
    etag = f'"{hashlib.sha256(f"{info.st_mtime_ns}-{size}".encode()).hexdigest()[:32]}"'
    headers = {
        "Accept-Ranges": "bytes",
        "Cache-Control": "private, no-cache",
        "ETag": etag,
        "Last-Modified": formatdate(info.st_mtime, usegmt=True),
    }
    asked = request.headers
    if ranges.known(asked.get("if-none-match"), etag):
        return Response(status_code=304, headers=headers)
    if request.method == "HEAD":
        # Parts are for GET alone (section 14.2): the answer to HEAD is that of the whole file.
        return Response(media_type=media.media_type, headers=headers | {"Content-Length": str(size)})
    same = ranges.still_the_same(asked.get("if-range"), etag, headers["Last-Modified"])
    spans = ranges.wanted(asked.get("range"), size) if same else None
    if spans == []:
        return Response(status_code=416, headers=headers | {"Content-Range": f"bytes */{size}"})
    return _stream(media, size, headers, spans)


def _opened(path: Path) -> BinaryIO:
    # What was found lies in the folder; a link that is put in its place since is not followed.
    how = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)
    return os.fdopen(os.open(path.resolve(strict=True), how), "rb", buffering=0)


def _info(path: Path) -> os.stat_result:
    with _opened(path) as file:
        return os.fstat(file.fileno())


def _stream(media: Media, size: int, headers: dict[str, str], spans: list[ranges.Span] | None) -> Stream:
    kind = media.media_type
    if spans is None:
        parts, length, status = [(b"", (0, size - 1))], size, 200
    elif len(spans) == 1:
        first, last = spans[0]
        parts, length, status = [(b"", spans[0])], last - first + 1, 206
        headers = headers | {"Content-Range": f"bytes {first}-{last}/{size}"}
    else:
        mark = secrets.token_hex(16)
        parts = [(_head(mark, kind, span, size, number), span) for number, span in enumerate(spans)]
        parts.append((f"\r\n--{mark}--\r\n".encode(), (0, -1)))
        length, status = sum(len(head) + last - first + 1 for head, (first, last) in parts), 206
        kind = f"multipart/byteranges; boundary={mark}"
    headers = headers | {"Content-Length": str(length)}
    return Stream(_bytes(media.path, parts), status, headers, kind)


def _head(mark: str, kind: str, span: ranges.Span, size: int, number: int) -> bytes:
    begin = "\r\n" if number else ""
    told = f"Content-Type: {kind}\r\nContent-Range: bytes {span[0]}-{span[1]}/{size}"
    return f"{begin}--{mark}\r\n{told}\r\n\r\n".encode()


async def _bytes(path: Path, parts: Sequence[tuple[bytes, ranges.Span]]) -> AsyncGenerator[bytes, None]:
    with await to_thread.run_sync(_opened, path) as file:
        for head, (first, last) in parts:
            if head:
                yield head
            await to_thread.run_sync(file.seek, first)
            left = last - first + 1
            while left > 0:
                piece = await to_thread.run_sync(file.read, min(_PIECE, left))
                if not piece:
                    # The file was cut meanwhile: fewer bytes than told end the connection, and the client sees it.
                    return
                left -= len(piece)
                yield piece
