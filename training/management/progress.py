"""How far is a command that takes a while? Told on a terminal only, and only after the first second."""

from __future__ import annotations

import time
from typing import Protocol


class Stream(Protocol):
    """Where the line is written."""

    def isatty(self) -> bool: ...
    def flush(self) -> None: ...
    def write(self, text: str, /) -> object: ...


class Progress:
    """One line that is written over again and again, and wiped at the end: `with Progress(stream) as tell: tell("…")`."""

    PATIENCE, PAUSE = 1.0, 0.2  # seconds before the first line, and between two

    def __init__(self, stream: Stream) -> None:
        self._stream = stream
        self._next = time.monotonic() + self.PATIENCE
        self._width = 0

    def __enter__(self) -> Progress:
        return self

    def __exit__(self, *_: object) -> None:
        if self._width:
            self._stream.write("\r" + " " * self._width + "\r")
            self._stream.flush()

    def __call__(self, text: str) -> None:
        """Say where the command is."""
        now = time.monotonic()
        if now < self._next or not self._stream.isatty():
            return
        self._stream.write("\r" + text.ljust(self._width))
        self._stream.flush()
        self._width, self._next = len(text), now + self.PAUSE
