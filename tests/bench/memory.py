"""Memory of this process."""

from __future__ import annotations

import resource
import sys
from pathlib import Path

STATUS = Path("/proc/self/status")


def peak() -> float:
    """Peak resident memory, MB.

    VmHWM of proc(5) where there is one: ru_maxrss begins with what the parent held when it started this process.
    """
    if STATUS.exists():
        lines = STATUS.read_text(encoding="utf-8").splitlines()
        return int(next(line.split()[1] for line in lines if line.startswith("VmHWM:"))) / 1e3
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (1e6 if sys.platform == "darwin" else 1e3)
