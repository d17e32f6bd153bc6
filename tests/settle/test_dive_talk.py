"""Sentences of a dive in many wordings: what they mark, what they measure, and what they only speak of."""

from __future__ import annotations

import re
import time

import inflect
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from earwitness.pipeline.read.transcript import Cue, Transcript
from earwitness.pipeline.segment import segment
from earwitness.pipeline.settle import Note, take_notes
from tests.judge.talk import Heard, Listener

ENGLISH = inflect.engine()


def marked(heard: Heard) -> list[str]:
    return [note.type for note in heard.notes if note.kind == "marker"]


def measured(heard: Heard) -> list[tuple[str, float | None, str | None]]:
    return [(note.type, note.value, note.unit) for note in heard.notes if note.kind == "measurement"]


@pytest.mark.parametrize(
    ("text", "markers"),
    [
        ("the dive has begun", ["dive_start"]),
        ("ROV in the water, all good.", ["dive_start"]),
        ("Dive twelve has started.", ["dive_start"]),
        ("Touchdown, gentle one.", ["on_bottom"]),
        ("and we have landed", ["on_bottom"]),
        ("The vehicle is on the seafloor.", ["on_bottom"]),
        ("We have bottom contact.", ["on_bottom"]),
        ("We are lifting off now.", ["off_bottom"]),
        ("Off the seabed, starting our ascent.", ["off_bottom"]),
        ("vehicle off bottom", ["off_bottom"]),
        ("Vehicle recovered, that concludes the dive.", ["dive_end"]),
        ("Dive finished, good night.", ["dive_end"]),
        ("Specimen collected.", ["sample"]),
        ("Could you take a piece of that please.", ["sample"]),
        ("Slurp it please.", ["sample"]),
        ("Niskin fired.", ["sample"]),
        ("Let us take a sample.", ["sample"]),
        ("Can we get a picture of it?", ["image"]),
        ("Frame captured.", ["image"]),
        ("screenshot taken thanks", ["image"]),
        ("Two stills taken.", ["image"]),
        ("I will make that a highlight.", ["highlight"]),
        ("Highlight, please, that was lovely.", ["highlight"]),
        ("Waypoint dropped.", ["target"]),
        ("Mark this position please.", ["target"]),
        ("Make it a target.", ["target"]),
        # What is asked, planned, denied, remembered.
        ("Shall we sample?", []),
        ("shall we sample that one", []),
        ("Should we take a sample of it?", []),
        ("Did we take a picture?", []),
        ("Are we on bottom yet?", []),
        ("are we on bottom yet", []),
        ("When do we leave bottom?", []),
        ("We will leave bottom in ten minutes.", []),
        ("we are going to take a sample in a minute", []),
        ("We hope to be on bottom soon.", []),
        ("Before we leave the bottom, one more look.", []),
        ("There is no time to take a sample.", []),
        ("No need to take a picture.", []),
        ("don't take a picture", []),
        ("We did not take a sample.", []),
        ("Cancel the sample.", []),
        ("Sample aborted.", []),
        ("Yesterday we took a sample of one.", []),
        ("On the last dive we took a sample.", []),
        ("We might take a sample later.", []),
        ("It would make a nice target tomorrow.", []),
        ("If we take a sample the box is full.", []),
        # The same words about something else.
        ("The crab is on the bottom.", []),
        ("A rattail resting on the bottom.", []),
        ("The crab is lifting off.", []),
        ("Something is in the water column.", []),
        ("Look at the bottom of the screen.", []),
        ("That was the highlight of my day.", []),
        ("We are close to the target depth.", []),
        ("The museum has specimens collected in 1906.", []),
        ("This is a good place for sampling.", []),
    ],
)
def test_what_is_done_is_marked_and_talk_is_not(hear: Listener, text: str, markers: list[str]) -> None:
    assert marked(hear(text)) == markers


@pytest.mark.parametrize(
    ("talk", "container"),
    [
        (["Sample taken, quiver four."], "quiver four"),
        (["Sample in the starboard box."], "starboard box"),
        (["sample three in the bio box"], "bio box"),
        (["Got the sample, suction jar three."], "suction jar three"),
        (["Sample taken.", "Drawer two."], "drawer two"),
        (["Slurp it please.", "Canister B."], "canister b"),
        (["Take a sample.", ("B", "Sample secured, it is in the left drawer.", 12.0)], "left drawer"),
        (["Sample taken."], None),
        (["Sample taken.", "The worm has left the box."], None),
        (["Sample taken.", "A crab on the outside of the box two metres off."], None),
    ],
)
def test_container_of_a_sample(hear: Listener, talk: list[str | tuple[str, str, float]], container: str | None) -> None:
    samples = [note for note in hear(*talk).notes if note.type == "sample"]
    assert [note.container for note in samples] in ([container], [container, None], [None, container])
    assert container is None or samples[0].container == container


def test_a_sample_asked_for_taken_and_logged_is_one(hear: Listener) -> None:
    talk = ("Sample please.", ("B", "Closing. Sample is in the box.", 9.0), ("C", "Sample one, stowed.", 9.0))
    assert marked(hear(*talk)) == ["sample"]
    assert marked(hear(*talk, ("C", "Sample two, push core.", 4.0))) == ["sample", "sample"]
    assert marked(hear("Sample taken.", "Another sample taken.")) == ["sample", "sample"]


@pytest.mark.parametrize(
    ("talk", "readings"),
    [
        (["Water depth 2,140 meters."], [("depth", 2140, "m")]),
        (["Passing three hundred metres."], [("depth", 300, "m")]),
        (["depth two one four oh"], [("depth", 2140, "m")]),
        (["Depth 2 1 4 0."], [("depth", 2140, "m")]),
        (["Depth, 2, 1, 4, 0."], [("depth", 2140, "m")]),
        (["We are at nine hundred and six metres."], [("depth", 906, "m")]),
        (["Sample two, at 1,306 metres."], [("depth", 1306, "m")]),
        (["On bottom.", "Twenty-one forty."], [("depth", 2140, "m")]),
        (["on bottom 2140"], [("depth", 2140, "m")]),
        (["Touchdown.", "Two thousand one hundred and forty metres, heading zero nine five."],
         [("depth", 2140, "m"), ("heading", 95, "deg")]),
        (["One thousand metres."], [("depth", 1000, "m")]),
        (["Climbing up the wall.", "Nineteen fifty."], [("depth", 1950, "m")]),
        (["Depth?", "2,140."], [("depth", 2140, "m")]),
        (["Heading one eight zero."], [("heading", 180, "deg")]),
        (["Heading 045."], [("heading", 45, "deg")]),
        (["heading 0 for 5"], [("heading", 45, "deg")]),
        (["heading two seven zero three crabs"], [("heading", 270, "deg")]),
        (["Coming to three one five."], [("heading", 315, "deg")]),
        (["Turning.", "One four zero."], [("heading", 140, "deg")]),
        (["Bearing one two zero."], [("bearing", 120, "deg")]),
        (["Water temperature is minus one point two degrees."], [("temperature", -1.2, "degC")]),
        (["Temperature?", "Four point one degrees."], [("temperature", 4.1, "degC")]),
        (["temp 2.9"], [("temperature", 2.9, "degC")]),
        (["The probe is reading three hundred and ten degrees celsius."], [("temperature", 310, "degC")]),
        (["Wall on sonar at thirty metres."], [("range", 30, "m")]),
        (["Sonar shows a ridge, eighty metres ahead."], [("range", 80, "m")]),
        (["The wreck is forty metres out."], [("range", 40, "m")]),
        (["Range one hundred and fifty metres."], [("range", 150, "m")]),
        (["Altitude three point five metres."], [("altitude", 3.5, "m")]),
        (["Salinity thirty-four point six."], [("salinity", 34.6, "psu")]),
        (["Oxygen one point two millilitres per litre."], [("oxygen", 1.2, "ml/l")]),
        (["Current half a knot, no, current zero point eight knots."], [("current", 0.8, "kn")]),
        # What is no reading of the dive.
        (["Two hundred metres to go."], []),
        (["They live at two thousand metres."], []),
        (["usually found at nine hundred metres"], []),
        (["We will go down to 2,140 metres."], []),
        (["The crab is about fifteen centimetres."], []),
        (["A squid, one metre long."], []),
        (["Turning ten degrees to port."], []),
        (["turning to ten"], []),
        (["Dive 1770."], []),
        (["Four hundred crabs."], []),
        (["Thirteen thousand metres."], []),
        (["The crab is ten metres away."], []),
        (["Crabs.", "Twenty."], []),
        (["Lasers are ten centimetres apart."], []),
        (["Depth of field is shallow."], []),
        (["What is the heading?", "I do not know."], []),
    ],
)  # fmt: skip
def test_readings(hear: Listener, talk: list[str], readings: list[tuple[str, float, str]]) -> None:
    found = measured(hear(*talk))
    assert [(kind, unit) for kind, _, unit in found] == [(kind, unit) for kind, _, unit in readings]
    assert [value for _, value, _ in found] == pytest.approx([value for _, value, _ in readings])


@pytest.mark.parametrize(
    ("text", "substrates"),
    [
        ("Black mud with shell fragments.", ["black mud", "shell fragments"]),
        ("The sediment is muddy sand.", ["muddy sand"]),
        ("mats of bacteria on the pillow lava", ["bacterial mat", "pillow lava"]),
        ("Dead corals and coral rubble.", ["dead coral", "coral rubble"]),
        ("A trawl door and a lost net.", ["litter"]),
        ("No sand here.", []),
        ("Is that rubble?", []),
        ("is that rubble", []),
        ("Yesterday we saw a fishing net.", []),
        ("not mud but clay", ["clay"]),
    ],
)
def test_ground(hear: Listener, text: str, substrates: list[str]) -> None:
    assert [note.type for note in hear(text).notes if note.kind == "substrate"] == substrates


def _words(value: int) -> str:
    return re.sub(r"[-,]", " ", str(ENGLISH.number_to_words(value)))  # type: ignore[arg-type]


@given(value=st.integers(1, 9999), form=st.sampled_from(["words", "figures", "digits", "spaced"]))
@settings(max_examples=25, deadline=None)
def test_a_depth_is_read_back_however_it_is_said(hear: Listener, value: int, form: str) -> None:
    said = {
        "words": _words(value),
        "figures": f"{value:,}",
        "digits": " ".join(_words(int(digit)) for digit in str(value)),
        "spaced": " ".join(str(value)),
    }[form]
    assert measured(hear(f"depth {said} metres")) == [("depth", value, "m")]


@given(value=st.integers(0, 360))
@settings(max_examples=40, deadline=None)
def test_a_heading_is_read_back_digit_by_digit(hear: Listener, value: int) -> None:
    said = " ".join(_words(int(digit)) for digit in f"{value:03d}")
    assert measured(hear(f"heading {said}")) == [("heading", value, "deg")]


TALK = """
sample box two in the no not ? . , on bottom depth heading one 1390 zero for to metres degrees we will shall a an
highlight rank target taken crabs crab sponge about at least dozen hundred thousand and or of them three four sand mud
minus point turning sonar wall out many lots colony third everywhere school 9999999999 1,2,3 ½ ① % °
"""
PIECES = st.sampled_from(TALK.split())


@given(st.lists(PIECES, max_size=40).map(" ".join))
@settings(max_examples=40, deadline=None)
def test_any_run_of_these_words_is_taken(hear: Listener, text: str) -> None:
    heard = hear(text or "ah")
    for note in heard.notes:
        assert 0 <= note.start < note.end <= len(heard.doc)
        assert note.kind != "measurement" or (note.value is not None and note.unit)
    for sighting in heard.sightings:
        assert sighting.count is None or sighting.count.kind == "abundance" or sighting.count.quantity.isdecimal()


@given(st.text(max_size=120))
@settings(max_examples=25, deadline=None)
def test_any_text_is_taken(hear: Listener, text: str) -> None:
    notes: tuple[Note, ...] = hear(text if text.strip() else "ah").notes
    assert [note.start for note in notes] == sorted(note.start for note in notes)


@pytest.mark.parametrize(
    "piece", ["one ten ", "sample ", "depth ", "two crabs about ", "no not a dozen of them ", "7 "]
)
def test_time_grows_with_length(hear: Listener, piece: str) -> None:
    def seconds(times: int) -> float:
        cues = tuple(Cue(float(n), n + 1.0, piece * 10) for n in range(times))
        doc = segment(Transcript("invented", "invented.vtt", "webvtt", "utf-8", "", cues), hear.nlp)
        begin = time.perf_counter()
        take_notes(doc, ())
        return time.perf_counter() - begin

    seconds(10)
    short, long = min(seconds(40) for _ in range(2)), min(seconds(160) for _ in range(2))
    assert long < 12 * short + 0.05, "four times the talk takes about four times the time"
