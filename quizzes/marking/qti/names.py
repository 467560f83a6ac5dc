"""What the standard calls things: 1EdTech, Question and Test Interoperability (QTI) 3.0.1."""

from __future__ import annotations

from typing import Final

from quizzes.kinds.choose_all import ALL
from quizzes.kinds.choose_one import ONE
from quizzes.kinds.give_amount import AMOUNT
from quizzes.kinds.match import MATCH
from quizzes.kinds.point_at import POINT
from quizzes.kinds.put_in_order import ORDER

ITEM: Final = "http://www.imsglobal.org/xsd/imsqtiasi_v3p0"
PACKAGE: Final = "http://www.imsglobal.org/xsd/qti/qtiv3p0/imscp_v1p1"
TEMPLATES: Final = "https://purl.imsglobal.org/spec/qti/v3p0/rptemplates"
ITEM_TYPE, FILE_TYPE = "imsqti_item_xmlv3p0", "webcontent"
MANIFEST: Final = "imsmanifest.xml"
LANG: Final = "{http://www.w3.org/XML/1998/namespace}lang"

RESPONSE, SCORE = "RESPONSE", "SCORE"
# What is said of what was chosen, and what is said in any case; each shown after the answer.
FEEDBACK, SAYS = "FEEDBACK", "SAYS"

INTERACTIONS: Final = {
    ONE: "qti-choice-interaction",
    ALL: "qti-choice-interaction",
    ORDER: "qti-order-interaction",
    AMOUNT: "qti-text-entry-interaction",
    MATCH: "qti-match-interaction",
    POINT: "qti-select-point-interaction",
}
HOTSPOT: Final = "qti-hotspot-interaction"


def tag(name: str) -> str:
    """The name of an element of an item, with its namespace."""
    return f"{{{ITEM}}}{name}"


def local_name(name: object) -> str:
    """The name of an element without its namespace; nothing for a comment."""
    return name.rpartition("}")[2] if isinstance(name, str) else ""
