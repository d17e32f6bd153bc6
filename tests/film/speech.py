"""The dive's cues come in; they go out as sound, spoken by the synthesiser Flite, each in its own time."""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
import wave
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from earwitness.pipeline.read import read_transcript
from tests.film.scene import DIVE

RATE = 16_000
VOICES = {"Odile": ("slt", 1.0), "Corwin": ("rms", 1.0), "Joss": ("awb", 1.0), "Pia": ("slt", 1.22)}
"""Flite's voice and how much higher than it is."""
Sound = NDArray[np.float32]


def cues() -> list[tuple[float, float, str, str]]:
    """Begin, end, speaker and words of every utterance."""
    found = read_transcript(DIVE / "clean.vtt").cues
    return [(cue.start, cue.end, cue.speaker or "Odile", cue.text) for cue in found]


def _said(text: str, voice: str, higher: float, stretch: float) -> Sound:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "said.wav"
        told = ["--setf", f"f0_shift={higher}", "--setf", f"duration_stretch={stretch:.4f}"]
        subprocess.run(["flite", "-voice", voice, *told, "-t", text, "-o", str(path)], check=True, capture_output=True)
        with wave.open(str(path)) as file:
            assert (file.getframerate(), file.getnchannels(), file.getsampwidth()) == (RATE, 1, 2)
            sound = np.frombuffer(file.readframes(file.getnframes()), np.int16).astype(np.float32) / 32768
    loud = np.flatnonzero(np.abs(sound) > 0.01)
    return sound[loud[0] : loud[-1] + 1]


def soundtrack(seconds: float) -> Sound:
    """Speech where there is some, and a soft hum of thrusters throughout."""
    if not shutil.which("flite"):
        sys.exit("Flite is not installed: apt-get install flite")
    track = np.zeros(round(seconds * RATE), np.float32)
    for begin, end, speaker, text in cues():
        voice, higher = VOICES[speaker]
        wanted = (end - begin - 0.1) * RATE
        sound = _said(text, voice, higher, 1.0)
        # Spoken anew at the right pace: once is not enough, as pauses do not stretch.
        stretch = 1.0
        for _ in range(3):
            stretch = min(1.8, max(0.45, stretch * wanted / len(sound)))
            sound = _said(text, voice, higher, stretch)
        sound = sound[: round((end - begin) * RATE)]
        first = round(begin * RATE)
        track[first : first + len(sound)] += 0.75 * sound / max(0.05, float(np.abs(sound).max()))
    t = np.arange(len(track), dtype=np.float32) / RATE
    hum = 0.004 * np.sin(2 * np.pi * 61 * t) + 0.003 * np.sin(2 * np.pi * 97.3 * t + np.sin(0.4 * t))
    return np.asarray(track + hum, dtype=np.float32)
