"""Which kind of document is a file, whatever its name says, and what stands in it?"""

from __future__ import annotations

from pathlib import PurePath

from procedures.records.documents.model import BadDocument, Document
from procedures.records.documents.plain import read_plain
from procedures.writeup.remarks import Remark, remark

LARGEST = 20_000_000  # bytes of the file
KINDS = (".docx", ".odt", ".pdf", ".txt", ".md")
ZIP, PDF, RICH = b"PK\x03\x04", b"%PDF-", b"{\\rtf"
# An old binary document, or a newer one that is locked by a password (MS-CFB, MS-OFFCRYPTO).
COMPOUND = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


def read_document(name: str, data: bytes) -> tuple[Document | str, tuple[Remark, ...]]:
    """What stands in a file: a document, or a plain text as it is; and what is worth saying of the
    file. Raises BadDocument with a sentence for what cannot be read.
    """
    if not data:
        raise BadDocument(remark("document-empty"))
    if len(data) > LARGEST:
        raise BadDocument(remark("document-too-large", most=LARGEST // 1_000_000))
    kind = _kind_of(data)
    ending = PurePath(name).suffix.lower()
    said: tuple[Remark, ...] = ()
    if ending not in (kind, *((".txt", ".md") if kind == ".txt" else ())):
        said = (remark("read-by-content", ending=ending or name, kind=kind),)
    if kind == ".txt":
        if ending not in (".txt", ".md", ""):
            # What is called .docx and is plain text, or picture data, was not meant as either.
            raise BadDocument(remark("document-other-kind", kinds=KINDS))
        text, how = read_plain(data)
        return text, (*said, *((how,) if how else ()))
    document = _read(kind, data)
    if not document.pieces:
        raise BadDocument(remark("document-without-words"))
    return document, said


def _kind_of(data: bytes) -> str:
    """The kind by the first bytes and the parts. Raises BadDocument for one that is not read."""
    if data.startswith(COMPOUND):
        raise BadDocument(remark("document-old-or-locked"))
    if data.startswith(RICH):
        raise BadDocument(remark("document-rich-text"))
    # The heading of a PDF may stand after other bytes (ISO 32000-1, annex H.3.4.1).
    if PDF in data[:1024]:
        return ".pdf"
    if not data.startswith((ZIP, b"PK\x05\x06")):
        return ".txt"
    from procedures.records.documents.parts import ZipParts

    names = ZipParts(data).names
    if "word/document.xml" in names:
        return ".docx"
    if "content.xml" in names and "META-INF/manifest.xml" in names:
        return ".odt"
    raise BadDocument(remark("document-other-kind", kinds=KINDS))


def _read(kind: str, data: bytes) -> Document:
    # Imported here: each loads a large library, which a start of the site is not to wait for.
    if kind == ".docx":
        from procedures.records.documents.docx import read_docx

        return read_docx(data)
    if kind == ".odt":
        from procedures.records.documents.odt import read_odt

        return read_odt(data)
    from procedures.records.documents.pdf import read_pdf

    return read_pdf(data)
