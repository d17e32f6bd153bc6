"""How far a recogniser's word times are from the true start of an utterance, on the development narrations."""

from __future__ import annotations

import numpy as np
from rich.console import Console

from earwitness.pipeline.read import Word, read_transcript
from earwitness.taxonomy.fold import spoken_key
from tests.bench.places import SHARED

NEAR = 2.0
"""Seconds within which the same word is taken for the same saying."""


def main(console: Console) -> None:
    """Print percentiles of the distance."""
    distances: list[float] = []
    for dive in sorted((SHARED / "narrations").glob("*/heard_words.json")):
        heard = [word for cue in read_transcript(dive).cues for word in cue.words]
        for cue in read_transcript(dive.parent / "clean.vtt").cues:
            distances += _distance(heard, cue.text.split()[0], cue.start)
    if not distances:
        console.print("The development narrations do not lie beside the checkout: no word times measured.")
        return
    shares = (50, 90, 95, 99)
    figures = ", ".join(f"{p}%: {v:.2f} s" for p, v in zip(shares, np.percentile(distances, shares), strict=True))
    console.print(f"Recognised word times against true utterance starts, {len(distances)} utterances: {figures}")


def _distance(heard: list[Word], first: str, start: float) -> list[float]:
    """Distance to the nearest hearing of an utterance's first word, none where it was not heard as such."""
    same = [w for w in heard if spoken_key(w.text) == spoken_key(first) and abs(w.start - start) < NEAR]
    return [min(abs(w.start - start) for w in same)] if same else []
