"""Range, If-Range and If-None-Match, by the examples of RFC 9110, sections 13 and 14, and beyond."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from earwitness.pipeline.review.web import ranges

# RFC 9110, section 14.1.2, for a representation of 10,000 bytes.
PUBLISHED = [
    ("bytes=0-499", [(0, 499)]),
    ("bytes=500-999", [(500, 999)]),
    ("bytes=-500", [(9500, 9999)]),
    ("bytes=9500-", [(9500, 9999)]),
    ("bytes=0-0,-1", [(0, 0), (9999, 9999)]),
    ("bytes= 0-999, 4500-5499, -1000", [(0, 999), (4500, 5499), (9000, 9999)]),
    ("bytes=500-600,601-999", [(500, 999)]),
    ("bytes=500-700,601-999", [(500, 999)]),
]


@pytest.mark.parametrize(("header", "spans"), PUBLISHED)
def test_the_published_examples(header: str, spans: list[ranges.Span]) -> None:
    assert ranges.wanted(header, 10_000) == spans


@pytest.mark.parametrize(
    ("header", "content_range"),
    [
        # RFC 9110, section 14.4: "where the complete length is 1234".
        ("bytes=0-499", "bytes 0-499/1234"),
        ("bytes=500-999", "bytes 500-999/1234"),
        ("bytes=500-", "bytes 500-1233/1234"),
        ("bytes=-500", "bytes 734-1233/1234"),
        ("bytes=42-1233", "bytes 42-1233/1234"),
    ],
)
def test_the_published_content_ranges(header: str, content_range: str) -> None:
    spans = ranges.wanted(header, 1234)
    assert spans is not None
    [(first, last)] = spans
    assert f"bytes {first}-{last}/1234" == content_range


@pytest.mark.parametrize(
    ("header", "spans"),
    [
        (None, None),
        ("", None),
        ("seconds=1-2", None),
        ("bytes", None),
        ("bytes=", None),
        ("bytes=-", None),
        ("bytes=a-b", None),
        ("bytes=1", None),
        ("bytes=3-2", None),
        ("bytes=0-1,x", None),
        ("bytes=+1-2", None),
        ("bytes=١-٢", None),
        ("bytes=" + ",".join(f"{n * 9}-{n * 9}" for n in range(ranges.MOST + 1)), None),
        ("bytes=0-" + "9" * 21, None),
        ("BYTES=0-1", [(0, 1)]),
        ("bytes=0-1,,", [(0, 1)]),
        ("bytes=5-999", [(5, 9)]),
        ("bytes=-999", [(0, 9)]),
        ("bytes=10-", []),
        ("bytes=-0", []),
        ("bytes=10-12,2-3", [(2, 3)]),
        ("bytes=8-9,0-1", [(0, 1), (8, 9)]),
    ],
)
def test_what_is_malformed_counts_as_not_asked_and_what_is_not_there_is_left_out(
    header: str | None, spans: list[ranges.Span] | None
) -> None:
    assert ranges.wanted(header, 10) == spans


def test_an_empty_file_has_no_part() -> None:
    assert ranges.wanted("bytes=0-0", 0) == []
    assert ranges.wanted("bytes=-5", 0) == []


@given(
    st.integers(1, 60),
    st.lists(st.tuples(st.one_of(st.none(), st.integers(0, 70)), st.one_of(st.none(), st.integers(0, 70))), max_size=9),
)
def test_the_bytes_are_those_that_were_asked_for(size: int, asked: list[tuple[int | None, int | None]]) -> None:
    whole, bad = set(), not asked
    for first, last in asked:
        bad = bad or (first is None and last is None) or (None not in (first, last) and first > last)  # type: ignore[operator]
        if first is not None:
            whole |= set(range(first, (last if last is not None else size) + 1))
        elif last:
            whole |= set(range(max(size - last, 0), size))
    written = ",".join(f"{'' if a is None else a}-{'' if b is None else b}" for a, b in asked)
    found = ranges.wanted(f"bytes={written}", size)
    if bad:
        assert found is None
        return
    assert found is not None
    bytes_ = [place for first, last in found for place in range(first, last + 1)]
    assert bytes_ == sorted(whole & set(range(size)))


MODIFIED = "Wed, 15 Nov 1995 04:58:08 GMT"
"""Of RFC 9110, section 14.6."""


@pytest.mark.parametrize(
    ("told", "same"),
    [
        (None, True),
        ('"xyzzy"', True),
        ('"r2d2xxxx"', False),
        ('W/"xyzzy"', False),
        (MODIFIED, True),
        ("Wed, 15 Nov 1995 04:58:09 GMT", False),
        ("yesterday", False),
        ("", False),
    ],
)
def test_if_range_asks_for_a_strong_match(told: str | None, same: bool) -> None:
    assert ranges.still_the_same(told, '"xyzzy"', MODIFIED) is same


@pytest.mark.parametrize(
    ("told", "known"),
    # Examples of RFC 9110, section 13.1.2.
    [
        (None, False),
        ('"xyzzy"', True),
        ('W/"xyzzy"', True),
        ('"xyzzy", "r2d2xxxx", "c3piozzzz"', True),
        ('W/"xyzzy", W/"r2d2xxxx", W/"c3piozzzz"', True),
        ('"r2d2xxxx"', False),
        ("*", True),
    ],
)
def test_if_none_match_asks_for_a_weak_match(told: str | None, known: bool) -> None:
    assert ranges.known(told, '"xyzzy"') is known
