"""A process of its own that decides and tells what was confirmed, until it is killed: for tests of what then stands."""

from __future__ import annotations

import os
import signal
import sys
import traceback
import warnings
from collections.abc import Callable
from dataclasses import dataclass, field

Say = Callable[[str], None]


@dataclass
class Apart:
    """A child process and what it has said so far, a line each."""

    pid: int
    ear: int
    said: list[str] = field(default_factory=list)
    _rest: bytes = b""

    def listen(self, lines: int) -> None:
        """Wait until it has said so many lines, or has ended."""
        while len(self.said) < lines and self._hear():
            pass

    def _hear(self) -> bool:
        heard = os.read(self.ear, 65536)
        *whole, self._rest = (self._rest + heard).split(b"\n")
        self.said += [line.decode() for line in whole]
        return bool(heard)

    def kill(self) -> None:
        """End it at once, as a power cut would; whatever it said before is heard."""
        os.kill(self.pid, signal.SIGKILL)
        self.wait()

    def wait(self) -> int:
        """Hear it to the end; its exit code, negative for a signal."""
        while self._hear():
            pass
        os.close(self.ear)
        _, status = os.waitpid(self.pid, 0)
        return os.waitstatus_to_exitcode(status)


def apart(work: Callable[[Say], None]) -> Apart:
    """Start `work` in a process of its own. What it says is written before `say` returns."""
    ear, mouth = os.pipe()
    with warnings.catch_warnings():
        # Later versions of Python warn of threads that do not live on in the child, which needs none.
        warnings.simplefilter("ignore", DeprecationWarning)
        pid = os.fork()
    if pid:
        os.close(mouth)
        return Apart(pid, ear)
    code = 1
    try:
        os.close(ear)
        work(lambda line: _say(mouth, line))
        code = 0
    except BaseException:
        traceback.print_exc(file=sys.__stderr__)
    finally:
        os._exit(code)


def _say(mouth: int, line: str) -> None:
    os.write(mouth, f"{line}\n".encode())
