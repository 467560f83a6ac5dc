"""Is an item marked as questions are marked here: right, or not?"""

from __future__ import annotations

from lxml import etree

from procedures.writeup.remarks import Remark, remark
from quizzes.kinds.give_amount import AMOUNT
from quizzes.kinds.point_at import POINT
from quizzes.marking.qti.names import HOTSPOT, local_name, tag

TEMPLATE_OF_POINT, TEMPLATE_OF_MATCH = "map_response_point", "match_correct"


def scoring_fault(root: etree._Element, kind: str) -> Remark | None:
    """Why an item's marks cannot be ours; None where they can."""
    processing = root.find(tag("qti-response-processing"))
    if processing is None:
        return None  # marked by nobody: the right answer stands in the declaration
    is_point = kind == POINT and root.find(f".//{tag(HOTSPOT)}") is None
    if template := processing.get("template"):
        # The addresses of one template differ between programs; none is ever fetched.
        name = template.rpartition("/")[2].removesuffix(".xml")
        wanted = TEMPLATE_OF_POINT if is_point else TEMPLATE_OF_MATCH
        # The answer to a number is equal within a tolerance, for which there is no template.
        fits = name == wanted and (kind != AMOUNT or _is_of_numbers(root))
        return None if fits else remark("qti-scoring")
    rules = [rule for rule in processing if _scores(rule)]
    if len(rules) != 1:
        return remark("qti-scoring")
    if is_point:
        mapped = rules[0].find(tag("qti-map-response-point"))
        return None if mapped is not None else remark("qti-scoring")
    return None if _is_right_or_not(rules[0], kind) else remark("qti-scoring")


def _is_of_numbers(root: etree._Element) -> bool:
    declaration = root.find(tag("qti-response-declaration"))
    return declaration is not None and declaration.get("base-type") in ("float", "integer")


def _scores(rule: etree._Element) -> bool:
    """Whether a rule sets the score; the others say what is shown."""
    if local_name(rule.tag) == "qti-response-condition":
        return True
    return rule.get("identifier") == "SCORE"


def _is_right_or_not(rule: etree._Element, kind: str) -> bool:
    """Whether this is one condition: full marks for the right answer, else none."""
    if local_name(rule.tag) != "qti-response-condition":
        return False
    parts = [local_name(one.tag) for one in rule]
    if parts not in (["qti-response-if"], ["qti-response-if", "qti-response-else"]):
        return False
    compared = rule[0][0] if len(rule[0]) else None
    wanted = ("qti-equal", "qti-match") if kind == AMOUNT else ("qti-match",)
    if compared is None or local_name(compared.tag) not in wanted:
        return False
    if [local_name(one.tag) for one in compared] != ["qti-variable", "qti-correct"]:
        return False
    given = [_score_given(part) for part in rule]
    return given[0] is not None and given[0] > 0 and all(not one for one in given[1:])


def _score_given(part: etree._Element) -> float | None:
    """Which score a part of the condition sets; None where that is more than one number."""
    found = [
        one.find(tag("qti-base-value"))
        for one in part.iterfind(tag("qti-set-outcome-value"))
        if one.get("identifier") == "SCORE"
    ]
    if len(found) != 1 or found[0] is None:
        return None
    try:
        return float(found[0].text or "")
    except ValueError:
        return None
