"""Windows that share words: against the plain definition."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earwitness.pipeline.mention.rivals import RIVALS, rivals
from earwitness.pipeline.mention.windows import WIDEST
from earwitness.taxonomy.heard_names import FEATURES, HeardName


def heard(row: int, fit: float, share: float, sounds: float) -> list[HeardName]:
    features = np.zeros(len(FEATURES))
    features[FEATURES.index("sounds")] = sounds
    return [HeardName(row, row, fit, share, features)]


WINDOW = st.integers(0, 30).flatmap(lambda first: st.tuples(st.just(first), st.integers(first + 1, first + WIDEST)))
HEARD = st.builds(heard, st.integers(0, 3), st.floats(-20, 5), st.floats(0, 1), st.floats(0, 30))


@st.composite
def windows(draw: st.DrawFn) -> tuple[list[tuple[int, int]], list[list[HeardName]], np.ndarray, np.ndarray]:
    of = draw(st.lists(WINDOW, max_size=12, unique=True))
    nats = st.lists(st.floats(-60, 0), min_size=len(of), max_size=len(of))
    return of, [draw(HEARD) for _ in of], np.array(draw(nats)), np.array(draw(nats))


@given(windows())
def test_as_the_plain_definition_says(
    drawn: tuple[list[tuple[int, int]], list[list[HeardName]], np.ndarray, np.ndarray],
) -> None:
    of, names, talk, replaced = drawn
    told = rivals(of, names, talk, replaced)
    assert told.shape == (len(of), len(RIVALS))
    evidence = [-talk[n] - names[n][0].features[0] for n in range(len(of))]
    for one, (first, last) in enumerate(of):
        row = dict(zip(RIVALS, told[one].tolist(), strict=True))
        sharing = [n for n, (begin, end) in enumerate(of) if n != one and begin < last and end > first]
        inner = [n for n in sharing if of[n][0] >= first and of[n][1] <= last]
        outer = [n for n in sharing if of[n][0] <= first and of[n][1] >= last]
        same = [n for n in sharing if names[n][0].row == names[one][0].row]
        assert row["evidence"] == pytest.approx(evidence[one])
        for name, some in (("evidenceOverRivals", sharing), ("evidenceOverInner", inner), ("evidenceOverOuter", outer)):
            lead = evidence[one] - max((evidence[n] for n in some), default=-np.inf)
            assert row[name] == pytest.approx(np.clip(lead, -30, 30))
        fits = names[one][0].fit - max((names[n][0].fit for n in inner), default=-np.inf)
        assert row["fitOverInner"] == pytest.approx(np.clip(fits, -30, 30))
        shares = [float(np.log(max(names[n][0].share, np.exp(-15.0)))) for n in outer]
        assert row["outerShare"] == pytest.approx(max(shares, default=-15.0))
        assert row["sameNameRivals"] == pytest.approx(len(same) / max(len(sharing), 1))


def test_a_window_with_a_word_too_many_stands_behind_the_name_itself() -> None:
    """ "crinetastella slowed": the verb costs sounds that the name has not, and English would have said it gladly."""
    told = rivals(
        [(2, 3), (2, 4)],
        [heard(1, 3.0, 0.9, 4.0), heard(1, 1.0, 0.6, 12.0)],
        np.array([-17.0, -22.0]),
        np.array([-6.0, -9.0]),
    )
    lead = RIVALS.index("evidenceOverRivals")
    assert told[0, lead] == 3.0
    assert told[1, lead] == -3.0
