"""What does a file of plain text say, however it is written?"""

from __future__ import annotations

import codecs

from procedures.records.documents.model import MOST_LETTERS, BadDocument
from procedures.writeup.letters import strip_hidden
from procedures.writeup.remarks import Remark, remark

UTF_16 = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)


def read_plain(data: bytes) -> tuple[str, Remark | None]:
    """The text, and what is worth saying of how it was written. Raises BadDocument for bytes that
    are no text.
    """
    text, said = _decoded(data)
    if "\0" in text:
        raise BadDocument(remark("document-no-text"))
    if len(text) > MOST_LETTERS:
        raise BadDocument(remark("document-too-long", most=MOST_LETTERS))
    seen = strip_hidden(text.replace("\r\n", "\n").replace("\r", "\n"))
    # Letters that nobody sees are no words either.
    if not seen.strip():
        raise BadDocument(remark("document-empty"))
    return seen, said


def _decoded(data: bytes) -> tuple[str, Remark | None]:
    if data.startswith(UTF_16):
        try:
            return data.decode("utf-16"), remark("read-as-utf-16")
        except UnicodeDecodeError as broken:
            raise BadDocument(remark("document-no-text")) from broken
    try:
        return data.decode("utf-8-sig"), None
    except UnicodeDecodeError:
        pass
    # Windows-1252 reads almost any bytes, so it comes last, and is told.
    try:
        return data.decode("cp1252"), remark("read-as-windows-1252")
    except UnicodeDecodeError as broken:
        raise BadDocument(remark("document-no-text")) from broken
