"""How far is a command that takes a while? Told on a terminal only, and only after the first
second.
"""

from __future__ import annotations

import threading
import time
from typing import Protocol


class Stream(Protocol):
    """Where the line is written."""

    def isatty(self) -> bool: ...
    def flush(self) -> None: ...
    def write(self, text: str, /) -> object: ...


class Progress:
    """One line that is written over again and again, and wiped at the end: `with Progress(stream)
    as tell: tell("…")`.

    A thread of its own writes it, so that the seconds go on while one piece of work takes long.
    """

    PATIENCE, PAUSE = 1.0, 0.2  # seconds before the first line, and between two

    def __init__(self, stream: Stream) -> None:
        self._stream = stream
        self._told, self._width = "", 0
        self._is_over = threading.Event()
        self._writer = threading.Thread(target=self._write, daemon=True)

    def __enter__(self) -> Progress:
        if self._stream.isatty():
            self._writer.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._is_over.set()
        if self._writer.ident is not None:
            self._writer.join()
        if self._width:
            self._stream.write("\r" + " " * self._width + "\r")
            self._stream.flush()

    def __call__(self, text: str) -> None:
        """Say where the command is."""
        self._told = text

    def _write(self) -> None:
        begun, pause = time.monotonic(), self.PATIENCE
        while not self._is_over.wait(pause):
            pause = self.PAUSE
            if self._told:
                line = f"{self._told} ({time.monotonic() - begun:.0f} s)"
                self._stream.write("\r" + line.ljust(self._width))
                self._stream.flush()
                self._width = max(self._width, len(line))
