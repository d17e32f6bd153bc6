"""The spaCy pipeline: ours, one that a user plugs in, and ours in a pipeline of the user's own."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
import spacy

from earwitness.pipeline.read.transcript import Cue
from earwitness.pipeline.segment import build_language, segment
from earwitness.schemas import InputError

from .made import sentences, transcript, utterances


def test_blank_english_needs_nothing_installed() -> None:
    nlp = build_language()
    assert (nlp.lang, nlp.pipe_names) == ("en", ["earwitness_utterances"])


def test_a_saved_pipeline_keeps_its_components_behind_ours(tmp_path: Path) -> None:
    saved = spacy.blank("en")
    saved.add_pipe("sentencizer", config={"punct_chars": [","]})
    saved.to_disk(tmp_path / "plain")
    nlp = build_language(str(tmp_path / "plain"))
    assert nlp.pipe_names == ["earwitness_utterances", "sentencizer"]
    doc = segment(transcript(Cue(0, 2, "a crab, a snail. And"), Cue(4, 5, "a sponge")), nlp)
    # Our sentences stand: the other component cuts none anew.
    assert sentences(doc) == ["a crab, a snail.", "And", "a sponge"]
    assert utterances(doc) == ["a crab, a snail. And", "a sponge"]


def test_a_trained_parser_and_tagger_leave_our_sentences(tmp_path: Path) -> None:
    saved = spacy.blank("en")
    saved.add_pipe("tagger").add_label("X")
    parser = saved.add_pipe("parser")
    for label in ("ROOT", "dep"):
        parser.add_label(label)
    saved.add_pipe("senter")
    saved.initialize()
    saved.to_disk(tmp_path / "trained")
    nlp = build_language(str(tmp_path / "trained"))
    assert nlp.pipe_names[0] == "earwitness_utterances"
    made = transcript(Cue(0, 2, "so that is a crab on the wall"), Cue(4, 5, "and a sponge. Then nothing more"))
    doc = segment(made, nlp)
    assert doc.has_annotation("DEP")
    assert doc.has_annotation("TAG")
    assert sentences(doc) == sentences(segment(made))


def test_a_pipeline_that_has_our_component_gets_no_second_one(tmp_path: Path) -> None:
    build_language().to_disk(tmp_path / "ours")
    assert build_language(str(tmp_path / "ours")).pipe_names == ["earwitness_utterances"]


@pytest.mark.parametrize("model", ["no_such_pipeline", "no/such/folder"])
def test_an_unknown_pipeline_is_one_clear_error(model: str) -> None:
    with pytest.raises(InputError) as error:
        build_language(model)
    assert error.value.problem.file == model
    assert "no spaCy pipeline of this name is installed" in str(error.value)


@pytest.mark.parametrize("fault", ["an unknown component", "a broken setting", "no meta.json"])
def test_a_pipeline_that_cannot_be_loaded_is_one_clear_error(tmp_path: Path, fault: str) -> None:
    folder = tmp_path / "broken"
    saved = spacy.blank("en")
    saved.add_pipe("sentencizer")
    saved.to_disk(folder)
    config = (folder / "config.cfg").read_text(encoding="utf-8")
    if fault == "an unknown component":
        (folder / "config.cfg").write_text(config.replace('factory = "sentencizer"', 'factory = "lost"'))
    elif fault == "a broken setting":
        (folder / "config.cfg").write_text(config.replace("overwrite = false", 'overwrite = "who knows"'))
    else:
        (folder / "meta.json").unlink()
    with pytest.raises(InputError) as error:
        build_language(str(folder))
    assert error.value.problem.file == str(folder)
    assert "\n" not in str(error.value)


def test_spacy_finds_the_component_without_an_import_of_ours() -> None:
    script = """
import json, spacy
nlp = spacy.blank("en")
nlp.add_pipe("earwitness_utterances")
doc = nlp("that is a sponge. Is it?")
print(json.dumps([[s.text for s in doc.spans["utterances"]], [s.text for s in doc.sents], doc[0]._.start_time]))
"""
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    spans, parts, time = json.loads(run.stdout)
    assert spans == ["that is a sponge. Is it?"]
    assert parts == ["that is a sponge.", "Is it?"]
    assert time != time  # NaN: bare text has no times
