"""How far is a command that takes a while? Told on a terminal only, and only after the first
second.
"""

from __future__ import annotations

from threading import Timer
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from rich.progress import Progress as Bar


class Progress:
    """One line that is written over again and again, and wiped at the end: `with Progress(stream)
    as tell: tell("…")`.

    The library writes it from a thread of its own, so that the seconds go on while one piece of
    work takes long.
    """

    PATIENCE = 1.0  # seconds before the first line

    def __init__(self, stream: Any) -> None:
        # The stream of a command ends every piece with a line break, which a line that is written
        # over cannot have; so the one below it is written to.
        self._stream = getattr(stream, "_out", stream)
        self._bar: Bar | None = None

    def __enter__(self) -> Progress:
        if self._stream.isatty():
            self._bar = _bar(self._stream)
            self._task = self._bar.add_task("", total=None)
            self._patience = Timer(self.PATIENCE, self._bar.start)
            self._patience.daemon = True
            self._patience.start()
        return self

    def __exit__(self, *_: object) -> None:
        if self._bar is not None:
            self._patience.cancel()
            self._patience.join()  # it may be about to start the line
            self._bar.stop()

    def __call__(self, text: str) -> None:
        """Say where the command is."""
        if self._bar is not None:
            self._bar.update(self._task, description=text)


def _bar(stream: Any) -> Bar:
    """The line, loaded on first use: most commands write to no terminal."""
    from rich.console import Console
    from rich.progress import Progress as Lines
    from rich.progress import TextColumn, TimeElapsedColumn

    told = TextColumn("{task.description}", markup=False)
    return Lines(told, TimeElapsedColumn(), console=Console(file=stream), transient=True)
