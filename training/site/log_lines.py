"""How is a line of the log written, so that no text of a person can look like another line?"""

from __future__ import annotations

import logging

from pythonjsonlogger.json import JsonFormatter

# What ends or moves a line on some terminal: C0, DEL, C1, and the separators of Unicode.
BREAKS = {
    code: f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}"
    for code in [*range(0x20), 0x7F, *range(0x80, 0xA0), 0x2028, 0x2029]
}


class OneLine(logging.Formatter):
    """For people: the time, how grave it is, who says it, and what. A traceback stands below, each
    of its lines set in, since only the program's own lines begin at the edge.
    """

    def __init__(self) -> None:
        super().__init__("%(asctime)s %(levelname)s %(name)s: %(message)s", "%Y-%m-%dT%H:%M:%S%z")

    def formatMessage(self, record: logging.LogRecord) -> str:  # noqa: N802 -- logging's own name
        return super().formatMessage(record).translate(BREAKS)

    def formatException(self, ei: object) -> str:  # noqa: N802 -- logging's own name
        below = super().formatException(ei)  # type: ignore[arg-type]
        return "\n".join(f"    {line.translate(BREAKS)}" for line in below.split("\n"))


class JsonLine(JsonFormatter):
    """For programs: one JSON object a line, a traceback within it."""

    def __init__(self) -> None:
        super().__init__(
            ["asctime", "levelname", "name", "message"],
            datefmt="%Y-%m-%dT%H:%M:%S%z",
            rename_fields={"asctime": "time", "levelname": "level", "name": "logger"},
            json_ensure_ascii=True,
        )
