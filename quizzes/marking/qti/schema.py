"""Which items can be read? A subset of QTI 3.0.1 as a RELAX NG schema (ISO/IEC 19757-2) of our own.

It is no copy of the standard's own schema, and says less: which elements may stand where. What an
item means is read in `reading.py`, which names the reason for whatever is left out.
"""

from __future__ import annotations

from functools import cache

from lxml import etree

from quizzes.marking.qti.names import ITEM

_ANY = "<zeroOrMore><attribute><anyName/></attribute></zeroOrMore>"


def _element(name: str, content: str = "<empty/>") -> str:
    return f'<element name="{name}">{_ANY}{content}</element>'


def _many(*content: str) -> str:
    return f"<zeroOrMore><choice>{''.join(content)}</choice></zeroOrMore>"


def _ref(name: str) -> str:
    return f'<ref name="{name}"/>'


def _maybe(content: str) -> str:
    return f"<optional>{content}</optional>"


def _some(content: str) -> str:
    return f"<oneOrMore>{content}</oneOrMore>"


_VALUE = _element("qti-value", "<text/>")
_WORDS = "".join(_element(name, _ref("words")) for name in ("strong", "em", "b", "i", "span"))
RULES = (
    "qti-response-condition",
    "qti-response-if",
    "qti-response-else-if",
    "qti-response-else",
    "qti-match",
    "qti-equal",
    "qti-variable",
    "qti-correct",
    "qti-set-outcome-value",
    "qti-base-value",
    "qti-multiple",
    "qti-is-null",
    "qti-map-response",
    "qti-map-response-point",
)
_RULES = "".join(f"<name>{name}</name>" for name in RULES)
_CHOICE = _ref("words") + _many(_element("qti-feedback-inline", _ref("words")))
_PROMPT = _maybe(_element("qti-prompt", _ref("flow")))
_CHOICES = _PROMPT + _some(_element("qti-simple-choice", _CHOICE))
_SET = _element("qti-simple-match-set", _some(_element("qti-simple-associable-choice", _CHOICE)))
_INTERACTIONS = (
    _element("qti-choice-interaction", _CHOICES)
    + _element("qti-order-interaction", _CHOICES)
    + _element("qti-text-entry-interaction")
    + _element("qti-match-interaction", _PROMPT + _SET + _SET)
    + _element("qti-select-point-interaction", _PROMPT + _ref("picture"))
    + _element(
        "qti-hotspot-interaction", _PROMPT + _ref("picture") + _some(_element("qti-hotspot-choice"))
    )
)
_DECLARATION = _element(
    "qti-response-declaration",
    _maybe(_element("qti-correct-response", _some(_VALUE)))
    + _maybe(_element("qti-mapping", _some(_element("qti-map-entry"))))
    + _maybe(_element("qti-area-mapping", _some(_element("qti-area-map-entry")))),
)
_OUTCOME = _element("qti-outcome-declaration", _maybe(_element("qti-default-value", _many(_VALUE))))
_MODAL = _element(
    "qti-modal-feedback",
    f"<choice>{_element('qti-content-body', _ref('flow'))}{_ref('flow')}</choice>",
)
_ITEM = _element(
    "qti-assessment-item",
    _DECLARATION
    + _many(_OUTCOME)
    + _element("qti-item-body", _ref("body"))
    + _maybe(_element("qti-response-processing", _many(_ref("rule"))))
    + _many(_MODAL),
)
_INLINE = _ref("picture") + _element("br") + _WORDS
_FLOW = _INLINE + _element("p", _ref("words")) + _element("div", _ref("flow"))
_BODY = _INLINE + _INTERACTIONS + _element("p", _ref("body")) + _element("div", _ref("body"))


def _define(name: str, content: str) -> str:
    return f'<define name="{name}">{content}</define>'


def _mixed(content: str) -> str:
    return f"<mixed>{_many(content)}</mixed>"


GRAMMAR = (
    f'<grammar xmlns="http://relaxng.org/ns/structure/1.0" ns="{ITEM}"><start>{_ITEM}</start>'
    + _define("picture", _element("img"))
    + _define("words", _mixed(_INLINE))
    + _define("flow", _mixed(_FLOW))
    + _define("body", _mixed(_BODY))
    + _define("rule", f"<element><choice>{_RULES}</choice>{_ANY}{_mixed(_ref('rule'))}</element>")
    + "</grammar>"
)


@cache
def load_schema() -> etree.RelaxNG:
    """The schema, ready to check an item's tree."""
    return etree.RelaxNG(etree.fromstring(GRAMMAR))
