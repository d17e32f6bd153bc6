"""Latitudes and longitudes as logs write them: text or numbers come in, degrees go out, with what stood in the way.

Told from each value by itself: decimal degrees (-12.5, 12.5 S) and degrees with minutes, or minutes and seconds, that
are kept apart by signs, blanks or colons (12 34.567 N, 12°34'05.6"S, -12:34:05.6). Digits run together (1234.567) are
minutes to one logger and degrees to another: they are read where the description says how, and refused else.

ISO 6709 (its Annex H) has a sign, degrees of two digits (latitude) or three (longitude), then two of minutes, two of
seconds; a decimal mark follows the last of them. A whole point, "+4012.22-07500.25/", may stand in one column.
"""

from __future__ import annotations

import re
from typing import Final

import polars as pl

DECIMAL, MINUTES, SECONDS, ISO = "decimal degrees", "DDMM.MMM", "DDMMSS.SS", "ISO 6709"
_FORMS = f'coordinates = "{MINUTES}", "{SECONDS}", "{ISO}" or "{DECIMAL}" in [[logs]]'
NONE = "is no coordinate that can be read"
TOGETHER = "may be degrees and minutes run together"
SIXTY = "has 60 minutes or seconds, or more"
TWICE = "has a sign and a letter, or two letters"
OTHER = "has the letter of the other axis"
REMEDIES: Final = {
    NONE: "degrees like -12.5, 12 34.567 N, 12°34.567'N, 12°34'05.6\"N, -12 34 05.6; or " + _FORMS,
    TOGETHER: _FORMS,
    SIXTY: "minutes and seconds below 60",
    TWICE: "one of them, as in -12 34.5 or 12 34.5 S",
    OTHER: "N or S in latitudes, E or W in longitudes; are they swapped in [logs.columns]?",
}
"""What may be the matter with a value, and what was expected."""
_LETTERS: Final = {"latitude": ("N", "S"), "longitude": ("E", "W")}
# A degree sign in Windows-1252 is no UTF-8 and was replaced by U+FFFD; "Â°" is one in UTF-8 read as Windows-1252.
_DEGREE = r"\s*(?:Â?[°º˚]|\x{FFFD}|DEG)\s*"
_MINUTE = r"\s*(?:['′’‘´`ʹ]|MIN)\s*"
_SECOND = r"\s*(?:[\"″”“ʺ]|['′’‘´ʹ]{2}|SEC)"
_APART = r"\s*:\s*|\s+"
_NUMBER = r"[0-9]{1,2}(?:\.[0-9]*)?"
_BEFORE, _AFTER = r"^(?:[NSEW]\s*)?(?:[+-]\s*)?", r"(?:\s*[NSEW])?$"
_SHAPE: Final = (
    rf"{_BEFORE}[0-9]{{1,3}}(?:(?:\.[0-9]*)?(?:{_DEGREE})?|(?:{_DEGREE}|{_APART})(?:{_NUMBER}(?:{_MINUTE})?"
    rf"|[0-9]{{1,2}}(?:{_MINUTE}|{_APART}){_NUMBER}(?:{_SECOND})?)){_AFTER}"
)
# Between hyphens only beside a letter, as one might be a minus.
_HYPHENS: Final = (
    rf"^(?:[NSEW]\s*[0-9]{{1,3}}(?:-[0-9]{{1,2}})?-{_NUMBER}|[0-9]{{1,3}}(?:-[0-9]{{1,2}})?-{_NUMBER}\s*[NSEW])$"
)
# A number with a decimal comma and nothing else may as well be two numbers.
_BARE: Final = r"^[+-]?[0-9.]*$"
_RUN: Final = rf"{_BEFORE}[0-9]{{4,}}(?:\.[0-9]*)?{_AFTER}"
_RUN_AS_STATED: Final = rf"{_BEFORE}[0-9]+(?:\.[0-9]*)?{_AFTER}"
_ISO_FIELDS: Final = r"([+-])([0-9]{%d})([0-9]{2})?([0-9]{2})?(\.[0-9]+)?"
_ISO_REST = r"(?:[+-][0-9]+(?:\.[0-9]*)?)?(?:CRS[^/]*)?/?$"


def to_degrees(column: pl.Series, axis: str, form: str | None) -> tuple[pl.Series, pl.Series]:
    """Degrees, north and east positive, and for every value that cannot be read one of REMEDIES' keys.

    Args:
        column: numbers, or stripped text; null where the row has none.
        axis: "latitude" or "longitude".
        form: as the description states it; None to tell it from each value.
    """
    silent = pl.Series(dtype=pl.String).extend_constant(None, len(column))
    if column.dtype != pl.String:
        numbers = column.cast(pl.Float64)
        if form == ISO:  # numbers have lost the zeros that it is told by
            return numbers.set(numbers.is_not_null(), None), silent.set(numbers.is_not_null(), TOGETHER)
        if form in (None, DECIMAL):
            return numbers, silent
        frame = pl.DataFrame({"number": numbers}).with_columns(number=pl.col("number").abs(), low=pl.col("number") < 0)
        return _joined(frame.with_columns(*_parted(str(form)), why=pl.lit(None, pl.String)))
    if form in (None, DECIMAL):
        plain = column.cast(pl.Float64, strict=False)
        if form is None:
            plain = plain.set(column.str.contains(r"^[+-]?[0-9]{4}").fill_null(False), None)
        if plain.null_count() == column.null_count():
            return plain, silent
        degrees, why = _joined(_told_apart(column, axis))
        known = plain.is_not_null()
        return plain.zip_with(known, degrees), why.set(known, None)
    if form == ISO:
        return _joined(_iso(column, axis))
    frame = _read(column, axis)
    stated = pl.col("text").str.contains(_RUN_AS_STATED)
    frame = frame.with_columns(number=pl.when(stated).then("degrees"))
    return _joined(frame.with_columns(*_parted(str(form))))


def _tidy(text: pl.Expr) -> pl.Expr:
    return text.str.to_uppercase().str.replace_all(",", ".", literal=True).str.replace_all("−", "-", literal=True)


def _read(column: pl.Series, axis: str) -> pl.DataFrame:
    """`degrees`, `minutes` and `seconds` as they come, `low` (south or west), and `why` its letter cannot be.

    Whether the text is one in which they mean that is asked apart: what matches needs no groups, which take long.
    """
    north_or_east, south_or_west = _LETTERS[axis]
    text = pl.col("text")
    fields = text.str.replace_all(r"[^0-9.]+", " ").str.strip_chars(" ").str.split_exact(" ", 2)
    frame = pl.DataFrame({"text": column}).with_columns(_tidy(text))
    frame = frame.with_columns(
        fields.struct.rename_fields(["degrees", "minutes", "seconds"]).alias("field"),
        first=text.str.head(1),
        last=text.str.tail(1),
        signed=text.str.contains(r"^(?:[NSEW]\s*)?[+-]"),
        minus=text.str.contains(r"^(?:[NSEW]\s*)?-"),
    ).unnest("field")
    front, back = (pl.col(name).is_in([*"NSEW"]) for name in ("first", "last"))
    letter = pl.when(front).then("first").when(back).then("last")
    return frame.with_columns(
        pl.col("degrees", "minutes", "seconds").cast(pl.Float64, strict=False),
        low=pl.col("minus") | (letter == south_or_west).fill_null(False),
        why=pl.when((front & back) | ((front | back) & pl.col("signed")))
        .then(pl.lit(TWICE))
        .when(~letter.is_in([north_or_east, south_or_west]))
        .then(pl.lit(OTHER)),
    )


def _told_apart(column: pl.Series, axis: str) -> pl.DataFrame:
    """Fields that are kept apart."""
    text = pl.col("text")
    shape = (text.str.contains(_SHAPE) & ~text.str.contains(_BARE)) | text.str.contains(_HYPHENS)
    return _read(column, axis).with_columns(
        degrees=pl.when(shape).then("degrees"),
        why=pl.when(text.str.contains(_RUN)).then(pl.lit(TOGETHER)).otherwise("why"),
    )


def _parted(form: str) -> list[pl.Expr]:
    """Degrees, minutes and seconds of `number`, whose digits are run together."""
    number = pl.col("number")
    if form == MINUTES:
        degrees = (number / 100).floor()
        return [degrees.alias("degrees"), (number - degrees * 100).alias("minutes"), pl.lit(0.0).alias("seconds")]
    degrees = (number / 10_000).floor()
    minutes = ((number - degrees * 10_000) / 100).floor()
    seconds = number - degrees * 10_000 - minutes * 100
    return [degrees.alias("degrees"), minutes.alias("minutes"), seconds.alias("seconds")]


def _iso(column: pl.Series, axis: str) -> pl.DataFrame:
    """The fields of ISO 6709, of one coordinate or out of a whole point."""
    latitude, longitude = _ISO_FIELDS % 2, _ISO_FIELDS % 3
    other = longitude if axis == "latitude" else latitude
    aside = f"(?:{re.sub(r'[(](?![?])', '(?:', other)})"
    pattern = f"^{latitude}(?:{aside}{_ISO_REST}|/?$)" if axis == "latitude" else f"^{aside}?{longitude}{_ISO_REST}"
    found = pl.DataFrame({"text": column}).with_columns(
        _tidy(pl.col("text")).str.extract_groups(pattern).alias("field")
    )
    frame = found.unnest("field").rename(
        {str(n): name for n, name in enumerate(("sign", "d", "m", "s", "part"), start=1)}
    )
    part = pl.col("part").fill_null("")
    last = pl.col("s").is_null()
    return frame.with_columns(
        low=pl.col("sign") == "-",
        degrees=pl.when(pl.col("m").is_null()).then(pl.col("d") + part).otherwise("d").cast(pl.Float64, strict=False),
        minutes=pl.when(last).then(pl.col("m") + part).otherwise("m").cast(pl.Float64, strict=False),
        seconds=(pl.col("s") + part).cast(pl.Float64, strict=False),
        why=pl.lit(None, pl.String),
    )


def _joined(frame: pl.DataFrame) -> tuple[pl.Series, pl.Series]:
    """One number of degrees, minutes and seconds, and why there is none."""
    there = pl.col("text" if "text" in frame.columns else "number").is_not_null()
    size = pl.col("degrees") + pl.col("minutes").fill_null(0.0) / 60 + pl.col("seconds").fill_null(0.0) / 3600
    full = (pl.col("minutes") >= 60).fill_null(False) | (pl.col("seconds") >= 60).fill_null(False)
    done = frame.with_columns(
        value=pl.when("low").then(-size).otherwise(size),
        why=pl.when(there).then(
            pl.when(pl.col("degrees").is_null() & (pl.col("why") != TOGETHER).fill_null(True))
            .then(pl.lit(NONE))
            .otherwise(pl.coalesce("why", pl.when(full).then(pl.lit(SIXTY))))
        ),
    )
    return done["value"].set(done["why"].is_not_null(), None), done["why"]
