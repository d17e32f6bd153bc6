"""Bytes to text, by one stated rule.

In: the bytes of a file. Out: text with `\\n` newlines, the encoding's name, and how many bad bytes were
replaced.
Refuses: binary content (BinaryContentError).

The rule, in this order: a byte order mark (UTF-8, UTF-16, UTF-32) decides; else zero bytes on one side of
most byte pairs mean UTF-16; else what is valid UTF-8 is UTF-8; else UTF-8 with a few bad bytes (fewer than
one to four good multi-byte characters) stays UTF-8 and the bad bytes become U+FFFD; else Windows-1252, or
Latin-1 when a byte is one that Windows-1252 leaves undefined. Nothing is guessed from statistics of a
language.
"""

from __future__ import annotations

import codecs
from dataclasses import dataclass

_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig", "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le", "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be", "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le", "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be", "utf-16-be"),
)
_SAMPLE = 65_536
_GOOD_TO_BAD = 4

_ZERO_SHARE = 0.4
"""Latin text in UTF-16 has a zero in nearly every pair; 0.4 leaves room for names in other scripts."""

_BINARY_SHARE = 0.02
"""More than one control character in fifty is no transcript: text files hold none or a few strays."""

_BINARY_FEWEST = 8
"""In a short file a few strays pass the share and prove nothing."""

_ALLOWED_CONTROLS = frozenset("\t\n\r\f\v\x1a\x85\ufeff")


class BinaryContentError(ValueError):
    """The bytes are not text."""


@dataclass(frozen=True, slots=True)
class Decoded:
    """Text, the encoding it was found in, and the number of bytes that had to be replaced."""

    text: str
    encoding: str
    replaced: int = 0


def decode(data: bytes) -> Decoded:
    """Turn a file's bytes into text by the rule in this module's docstring.

    Raises:
        BinaryContentError: over 2 % of the first 65,536 characters, and over 8, are control characters.
    """
    decoded = _decode(data)
    text = decoded.text.replace("\r\n", "\n").replace("\r", "\n")
    sample = text[:_SAMPLE]
    controls = sum(1 for char in sample if _is_control(char))
    if controls > max(_BINARY_FEWEST, _BINARY_SHARE * len(sample)):
        raise BinaryContentError(f"{controls} control characters in the first {len(sample)} characters")
    return Decoded(text, decoded.encoding, decoded.replaced)


def _decode(data: bytes) -> Decoded:
    for mark, name, codec in _MARKS:
        if data.startswith(mark):
            return _replacing(data[len(mark) :], codec, name)
    wide = _wide_without_mark(data[:_SAMPLE])
    if wide:
        return _replacing(data, wide, wide)
    try:
        return Decoded(data.decode("utf-8"), "utf-8")
    except UnicodeDecodeError:
        pass
    mostly = _replacing(data, "utf-8", "utf-8")
    good = sum(1 for char in mostly.text if char > "\x7f") - mostly.replaced
    if good > _GOOD_TO_BAD * mostly.replaced:
        return mostly
    try:
        return Decoded(data.decode("cp1252"), "cp1252")
    except UnicodeDecodeError:
        return Decoded(data.decode("latin-1"), "latin-1")


def _replacing(data: bytes, codec: str, name: str) -> Decoded:
    """Decode with U+FFFD for bad bytes; count only those that were not in the text already."""
    text = data.decode(codec, errors="replace")
    own = len(data.decode(codec, errors="ignore").split("\ufffd")) - 1
    return Decoded(text, name, text.count("\ufffd") - own)


def _wide_without_mark(sample: bytes) -> str:
    pairs = len(sample) // 2
    if not pairs:
        return ""
    even, odd = sample[0 : 2 * pairs : 2].count(0), sample[1 : 2 * pairs : 2].count(0)
    if odd > _ZERO_SHARE * pairs and even < odd / 4:
        return "utf-16-le"
    if even > _ZERO_SHARE * pairs and odd < even / 4:
        return "utf-16-be"
    return ""


def _is_control(char: str) -> bool:
    return (char < " " or "\x7f" <= char <= "\x9f") and char not in _ALLOWED_CONTROLS
