"""How is XML from outside read, so that it can fetch nothing, and nothing small in it becomes huge?

One place for it: a reader with a setting of its own would be the one that is found.
"""

from __future__ import annotations

from typing import Any

from lxml import etree


class BadXml(ValueError):
    """This is no XML that is read here. `line` is where it breaks off (0: not known); `has_type`
    says that it has a document type.
    """

    def __init__(self, line: int = 0, *, has_type: bool = False) -> None:
        super().__init__(line)
        self.line, self.has_type = line, has_type


def read_xml(data: bytes) -> etree._Element:
    """The root of an XML text. Whoever calls it has looked at its length. Raises BadXml."""
    # A new parser each time; entities, the network and endless texts are off.
    parser = etree.XMLParser(
        resolve_entities=False,
        no_network=True,
        load_dtd=False,
        dtd_validation=False,
        huge_tree=False,
        remove_pis=True,
        remove_comments=True,
    )
    try:
        root = etree.fromstring(data, parser)
    except (etree.XMLSyntaxError, ValueError) as broken:
        raise BadXml(getattr(broken, "lineno", None) or 0) from broken
    # Even one that declares nothing is refused: entities are how a small file becomes a huge one.
    kind: Any = root.getroottree().docinfo
    if kind.doctype or kind.internalDTD is not None:
        raise BadXml(has_type=True)
    return root
