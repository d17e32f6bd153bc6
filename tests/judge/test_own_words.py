"""A user's own word lists add and override; a bad row is refused by the name and line of its own file."""

from __future__ import annotations

from pathlib import Path

import pytest

from earwitness.pipeline.judge import claim_cues
from earwitness.schemas import InputError

from .talk import Listener

HEADER = "phrase,category,direction,reach,low,high,source\n"


def own_claims(folder: Path, *rows: str, header: str = HEADER) -> Path:
    (folder / "claims.csv").write_text(header + "".join(f"{row}\n" for row in rows), encoding="utf-8")
    return folder


def test_a_phrase_is_added(hear: Listener, tmp_path: Path) -> None:
    text = "I wot that is a crab."
    assert hear(text).statuses == ["observed"]
    (judgement,) = hear(text, own_words=own_claims(tmp_path, "i wot,hedge,both,clause,0.5,0.7,ours")).judgements
    assert (judgement.status, judgement.certainty, judgement.cues) == ("hedged", 0.6, ("I wot",))


def test_a_phrase_is_overridden(hear: Listener, tmp_path: Path) -> None:
    own = own_claims(tmp_path, "Probably,hedge,both,clause,0.9,1.0,ours")
    (judgement,) = hear("Probably a crab.", own_words=own).judgements
    assert (judgement.certainty, judgement.term) == (0.95, "certain")
    assert hear("Probably a crab.").judgements[0].certainty == 0.75, "ours is as it was"


def test_a_phrase_is_silenced_by_a_longer_one(hear: Listener, tmp_path: Path) -> None:
    own = own_claims(tmp_path, "what i call not a,pseudo,,,,,ours")
    assert hear("That's what I call not a crab.", own_words=own).statuses == ["observed"]


def test_own_clause_openers_end_a_scope(hear: Listener, tmp_path: Path) -> None:
    text = "Maybe a crab, over by the wall a squid."
    assert hear(text).statuses == ["hedged", "hedged"]
    (tmp_path / "clause_openers.csv").write_text("word,source\nOver,ours\n", encoding="utf-8")
    assert hear(text, own_words=tmp_path).statuses == ["hedged", "observed"]


def test_a_folder_without_the_list_changes_nothing(hear: Listener, tmp_path: Path) -> None:
    assert hear("Probably a crab.", own_words=tmp_path).judgements == hear("Probably a crab.").judgements


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("perchance,hege,both,clause,0.4,0.5,ours", ["category 'hege'", "hedge", "booster", "elsewhere"]),
        ("perchance,hedge,sideways,clause,0.4,0.5,ours", ["direction 'sideways'", "forward", "backward", "both"]),
        ("perchance,hedge,both,paragraph,0.4,0.5,ours", ["reach 'paragraph'", "clause", "sentence", "N words"]),
        ("perchance,hedge,both,some words,0.4,0.5,ours", ["reach 'some words'"]),
        ("perchance,hedge,,clause,0.4,0.5,ours", ["no direction"]),
        ("perchance,general,both,,,,ours", ["no reach"]),
        ("perchance,hedge,both,clause,,,ours", ["not bounded", "0 <= low <= high <= 1"]),
        ("perchance,hedge,both,clause,0.6,0.4,ours", ["not bounded"]),
        ("perchance,hedge,both,clause,40,60,ours", ["not bounded"]),
        ("perchance,hedge,both,clause,much,0.6,ours", ["low 'much'", "a number"]),
        (",hedge,both,clause,0.4,0.5,ours", ["phrase is blank"]),
    ],
)
def test_a_bad_row_is_refused_by_file_and_line(hear: Listener, tmp_path: Path, row: str, said: list[str]) -> None:
    own = own_claims(tmp_path, "i wot,hedge,both,clause,0.5,0.7,ours", row)
    with pytest.raises(InputError) as refused:
        claim_cues(hear.nlp("perchance a crab"), 0, 3, own)
    problem = refused.value.problem
    assert (problem.file, problem.line) == (str(tmp_path / "claims.csv"), 3)
    assert all(part in str(problem) for part in said), str(problem)
    assert problem.expected


def test_a_missing_column_is_refused(hear: Listener, tmp_path: Path) -> None:
    own = own_claims(tmp_path, "i wot,hedge,both,0.5,0.7,ours", header="phrase,category,direction,low,high,source\n")
    with pytest.raises(InputError, match="column reach is missing") as refused:
        hear("I wot a crab.", own_words=own)
    assert refused.value.problem.line == 1


def test_a_rule_keeps_its_source_and_bounds(hear: Listener) -> None:
    (cue,) = claim_cues(hear.nlp("Very likely a crab"), 0, 4)
    assert (cue.start, cue.end, cue.rule.phrase) == (0, 2, ("very", "likely"))
    assert (cue.rule.low, cue.rule.high, cue.rule.certainty) == (0.8, 0.95, 0.875)
    assert cue.rule.source.startswith("ICD 203")
