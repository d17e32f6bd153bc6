"""Make the demonstration dive's film: `python -m tests.film`, some minutes on one core.

Needs the synthesiser Flite (apt-get install flite) and ffmpeg, which the package imageio-ffmpeg brings along. Pictures
are drawn from seeds and the encoders run on one thread, so the same versions make the same file: that of the repository
is by Flite 2.2, imageio-ffmpeg 0.8.1 (ffmpeg n9.0.2, libvpx-vp9, libopus), numpy 2.4.6 and Pillow 13.0.0.

VP9 and Opus in WebM: free formats that browsers play and that can be sought in.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import wave
from pathlib import Path

import imageio_ffmpeg
import numpy as np

from tests.film.scene import DIVE, HIGH, WIDE, picture
from tests.film.speech import RATE, cues, soundtrack

FILM = DIVE / "quillmere_canyon_206.webm"
"""Named as recording.toml names the recording."""
FRAMES, PER = 30_000, 1_001
"""As many frames in so many seconds: the 29.97 of recording.toml."""
SECONDS = 489.0
"""A little longer than the talk."""
_PICTURE = "-c:v libvpx-vp9 -b:v 0 -crf 40 -deadline good -cpu-used 2 -threads 1 -row-mt 0 -g 150 -pix_fmt yuv420p"
_SOUND = "-c:a libopus -b:a 14k -vbr on -application voip -ac 1"


def make(path: Path, seconds: float = SECONDS) -> None:
    """Draw, speak and encode the film's first seconds."""
    assert seconds >= cues()[-1][1] or path != FILM
    with tempfile.TemporaryDirectory() as folder:
        sound = Path(folder) / "sound.wav"
        with wave.open(str(sound), "wb") as file:
            file.setparams((1, 2, RATE, 0, "NONE", ""))
            file.writeframes((np.clip(soundtrack(SECONDS), -1, 1) * 32767).astype("<i2").tobytes())
        command = [imageio_ffmpeg.get_ffmpeg_exe(), "-y", "-loglevel", "error", "-f", "rawvideo", "-pix_fmt", "rgb24"]
        command += ["-s", f"{WIDE}x{HIGH}", "-r", f"{FRAMES}/{PER}", "-i", "-", "-i", str(sound), "-t", str(seconds)]
        command += [*_PICTURE.split(), *_SOUND.split(), "-fflags", "+bitexact", "-flags", "+bitexact"]
        command += ["-map_metadata", "-1", str(path)]
        with subprocess.Popen(command, stdin=subprocess.PIPE) as encoder:
            assert encoder.stdin is not None
            for n in range(round(seconds * FRAMES / PER)):
                encoder.stdin.write(picture(n * PER / FRAMES).tobytes())
            encoder.stdin.close()
            if encoder.wait():
                sys.exit("ffmpeg failed")


if __name__ == "__main__":
    target = Path(sys.argv[1]) if len(sys.argv) > 1 else FILM
    make(target, float(sys.argv[2]) if len(sys.argv) > 2 else SECONDS)
    print(f"{target.name}: {target.stat().st_size / 1e6:.2f} MB")
