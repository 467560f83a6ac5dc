"""Which parts has a document that is a zip file of XML, and is it safe to read them?

Both kinds (Office Open XML, ECMA-376; OpenDocument, ISO/IEC 26300) are zip files. What is declared
is weighed before anything is unpacked, nothing is read beyond what was declared, and no XML with a
document type is read at all.
"""

from __future__ import annotations

import io
import zipfile
import zlib
from typing import TYPE_CHECKING

from lxml import etree

from procedures.pictures.xml import BadXml, read_xml
from procedures.records.documents.model import BadDocument
from procedures.writeup.remarks import remark

if TYPE_CHECKING:
    from lxml.etree import _Element

MOST_PARTS = 2_000
MOST_UNPACKED = 100_000_000  # bytes of all parts
LARGEST_XML = 12_000_000  # bytes of one part of XML: its tree takes about ten times as much
LARGEST_PART = 12_000_000  # bytes of one picture
ENCRYPTED = 0x1  # the bit of a part that is locked by a password
_BROKEN = (zipfile.BadZipFile, OSError, EOFError, RuntimeError, NotImplementedError, zlib.error)


class ZipParts:
    """The parts of such a file, by name."""

    def __init__(self, data: bytes) -> None:
        """Raises BadDocument for what is damaged, locked, or would unpack to too much."""
        try:
            self._zip = zipfile.ZipFile(io.BytesIO(data))
        except (*_BROKEN, ValueError) as broken:
            raise BadDocument(remark("document-damaged")) from broken
        found = self._zip.infolist()
        if len(found) > MOST_PARTS or sum(part.file_size for part in found) > MOST_UNPACKED:
            raise BadDocument(remark("document-bomb", most=MOST_UNPACKED // 1_000_000))
        if any(part.flag_bits & ENCRYPTED for part in found):
            raise BadDocument(remark("document-locked"))
        self.names = frozenset(part.filename for part in found)

    def blob(self, name: str) -> bytes | None:
        """The bytes of a part; None where there is none or it is too large. Raises BadDocument."""
        if name not in self.names or self._zip.getinfo(name).file_size > LARGEST_PART:
            return None
        return self._read(name, LARGEST_PART)

    def xml(self, name: str) -> _Element | None:
        """The root of a part of XML; None where there is no such part. Raises BadDocument."""
        if name not in self.names:
            return None
        if self._zip.getinfo(name).file_size > LARGEST_XML:
            raise BadDocument(remark("document-bomb", most=LARGEST_XML // 1_000_000))
        try:
            return read_xml(self._read(name, LARGEST_XML))
        except BadXml as bad:
            if bad.has_type:
                raise BadDocument(remark("document-of-document-type")) from bad
            raise BadDocument(remark("document-damaged")) from bad

    def _read(self, name: str, most: int) -> bytes:
        try:
            with self._zip.open(name) as part:
                data = part.read(most + 1)
        except _BROKEN as broken:
            raise BadDocument(remark("document-damaged")) from broken
        if len(data) > most:
            raise BadDocument(remark("document-bomb", most=most // 1_000_000))
        return data


def find_name(element: _Element) -> str:
    """The name of an element without its namespace."""
    return str(etree.QName(element).localname)


def find_namespace(element: _Element) -> str:
    """The namespace of an element."""
    return etree.QName(element).namespace or ""
