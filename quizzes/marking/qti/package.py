"""How do items travel? As one zip file with a manifest (1EdTech Content Packaging, QTI 3.0.1)."""

from __future__ import annotations

import io
import posixpath
import zipfile
import zlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from urllib.parse import unquote, urlsplit

from lxml import etree

from procedures.writeup.remarks import Remark, remark
from quizzes.marking.qti.names import FILE_TYPE, ITEM_TYPE, MANIFEST, PACKAGE, local_name
from quizzes.marking.qti.reading import LARGEST, NotRead, read_tree

MOST_FILES = 5_000
MOST_BYTES = 50_000_000  # of the zip file itself
STILL = (1980, 1, 1, 0, 0, 0)  # the first day that a zip file can say: one content, one file
OLDER_TYPE = "imsqti_item_xmlv2"


@dataclass(frozen=True, slots=True)
class Packed:
    """One resource of a package: where it lies, and its item or why it is none."""

    where: str
    data: bytes = b""
    fault: Remark | None = None


def pack(items: Mapping[str, bytes], drawings: Mapping[str, bytes]) -> bytes:
    """One zip file of items by their names and drawings (SVG) by theirs. The same content is the
    same bytes.
    """
    files = {f"items/{name}.xml": data for name, data in items.items()}
    shown = {f"drawings/{name}.svg": data for name, data in drawings.items()}
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, data in {MANIFEST: _manifest(files, shown), **files, **shown}.items():
            info = zipfile.ZipInfo(name, date_time=STILL)
            info.compress_type = zipfile.ZIP_DEFLATED
            packed.writestr(info, data)
    return whole.getvalue()


def unpack(data: bytes) -> tuple[Packed, ...]:
    """What lies in a package, in the order of its manifest. Raises NotRead for what is none."""
    if len(data) > MOST_BYTES:
        raise NotRead(remark("qti-too-large", most=MOST_BYTES))
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            names = packed.namelist()
            if len(names) > MOST_FILES or len(set(names)) < len(names):
                raise NotRead(remark("qti-too-many", most=MOST_FILES))
            if MANIFEST not in names:
                raise NotRead(remark("qti-no-manifest"))
            root = read_tree(_read(packed, MANIFEST))
            return tuple(_resources(packed, root))
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError) as error:
        raise NotRead(remark("qti-no-zip")) from error


def _manifest(items: Iterable[str], drawings: Iterable[str]) -> bytes:
    root = etree.Element(f"{{{PACKAGE}}}manifest", nsmap={None: PACKAGE})  # type: ignore[dict-item]
    root.set("identifier", "questions")
    metadata = _add(root, "metadata")
    _add(metadata, "schema").text = "QTI Package"
    _add(metadata, "schemaversion").text = "3.0.1"
    _add(root, "organizations")
    resources = _add(root, "resources")
    for at, (kind, href) in enumerate(
        [*((ITEM_TYPE, one) for one in items), *((FILE_TYPE, one) for one in drawings)], start=1
    ):
        one = _add(resources, "resource", identifier=f"r{at}", type=kind, href=href)
        _add(one, "file", href=href)
    written: bytes = etree.tostring(root, xml_declaration=True, encoding="UTF-8")
    return written


def _add(parent: etree._Element, name: str, **attrib: str) -> etree._Element:
    return etree.SubElement(parent, f"{{{PACKAGE}}}{name}", attrib=attrib)


def _resources(packed: zipfile.ZipFile, root: etree._Element) -> Iterator[Packed]:
    for one in root.iter():
        if local_name(one.tag) != "resource":
            continue
        kind, where = one.get("type", ""), _inside(one.get("href", ""))
        if kind == FILE_TYPE:
            continue
        if kind.startswith(OLDER_TYPE):
            yield Packed(where, fault=remark("qti-older"))
        elif not kind.startswith("imsqti_item"):
            yield Packed(where, fault=remark("qti-not-an-item", kind=kind))
        else:
            try:
                yield Packed(where, _read(packed, where))
            except NotRead as not_read:
                yield Packed(where, fault=not_read.remark)


def _inside(href: str) -> str:
    """The name of a file in the package; nothing else is ever opened."""
    return posixpath.normpath(unquote(urlsplit(href).path)).lstrip("/")


def _read(packed: zipfile.ZipFile, name: str) -> bytes:
    """A file of the package, no more of it than may be. Raises NotRead."""
    try:
        with packed.open(name) as file:
            data = file.read(LARGEST + 1)
    except KeyError as error:
        raise NotRead(remark("qti-file-missing")) from error
    if len(data) > LARGEST:
        raise NotRead(remark("qti-too-large", most=LARGEST))
    return data
