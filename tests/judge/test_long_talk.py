"""Talk without a single stop costs no more a word the longer it is: cues and reaches are counted, not timed."""

from __future__ import annotations

from typing import Any

import pytest

from earwitness.pipeline.judge import scope

from .talk import Listener

BREATH = "yesterday we saw a crab and maybe a squid or a sponge but there is a shrimp i think it is not a fish "


def asked_of_walls(hear: Listener, monkeypatch: pytest.MonkeyPatch, breaths: int) -> int:
    """How often a wall was asked whether it stops a cue, in one caption of so many breaths."""
    asked = 0
    stops = scope._stops

    def counting(*args: Any, **named: Any) -> bool:
        nonlocal asked
        asked += 1
        return stops(*args, **named)

    with monkeypatch.context() as patch:
        patch.setattr(scope, "_stops", counting)
        _, mentions, judgements = hear.judged(BREATH * breaths)
    assert len(judgements) == len(mentions) >= 5 * breaths
    return asked


def test_work_grows_linearly_without_punctuation(hear: Listener, monkeypatch: pytest.MonkeyPatch) -> None:
    some, many = (asked_of_walls(hear, monkeypatch, breaths) for breaths in (20, 200))
    assert some > 0
    assert many < 12 * some


def test_no_cue_reaches_across_a_long_run(hear: Listener) -> None:
    _, _, judgements = hear.judged("yesterday " + "the current was strong and the water clear " * 8 + "a crab")
    assert [judgement.status for judgement in judgements] == ["observed"]
