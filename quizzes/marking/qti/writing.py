"""How is a question written as an item of QTI 3.0.1, so that `read_item` reads the same again?

What the standard has no word for (the steps that a question stands on, whether it is critical)
stands in `data-` attributes, which it leaves to whoever writes an item.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from lxml import etree

from procedures.writeup.amounts import read_amount
from procedures.writeup.model import WriteUp
from quizzes.kinds.choose_all import ALL
from quizzes.kinds.choose_one import ONE
from quizzes.kinds.give_amount import AMOUNT
from quizzes.kinds.kind import QuestionText
from quizzes.kinds.match import MATCH
from quizzes.kinds.point_at import POINT
from quizzes.kinds.put_in_order import ORDER
from quizzes.kinds.rehearsed import sort_as_written
from quizzes.kinds.spots import Box, Circle, Region
from quizzes.marking.qti.amounts import ends_of
from quizzes.marking.qti.names import (
    FEEDBACK,
    INTERACTIONS,
    ITEM,
    LANG,
    RESPONSE,
    SAYS,
    SCORE,
    TEMPLATES,
    tag,
)
from quizzes.marking.qti.words import AS_WRITTEN, write_paragraphs, write_picture, write_words

CARDINALITY = {
    ONE: ("single", "identifier"),
    ALL: ("multiple", "identifier"),
    ORDER: ("ordered", "identifier"),
    AMOUNT: ("single", "float"),
    MATCH: ("multiple", "directedPair"),
    POINT: ("single", "point"),
}


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing that a question shows: its size, and what it shows in words."""

    box: Box
    alt: str


class NotWritten(ValueError):
    """This question cannot go out: XML has no letter for what stands in it, or a drawing on which
    somebody points is not there.
    """


@dataclass(slots=True)
class _Item:
    """An item while it is written."""

    question: QuestionText
    writeup: WriteUp
    pictures: Mapping[str, Picture]
    root: etree._Element
    declaration: etree._Element
    body: etree._Element
    fed_back: bool = False  # something is said of what was chosen
    said: list[str] = field(default_factory=list)  # what is said in any case

    @property
    def asked(self) -> Any:
        return self.question.asked


def write_item(question: QuestionText, writeup: WriteUp, pictures: Mapping[str, Picture]) -> bytes:
    """The question beside a revision of its write-up. Raises NotWritten."""
    try:
        return _write(question, writeup, pictures)
    except (ValueError, KeyError) as error:
        raise NotWritten(str(error)) from error


def _write(question: QuestionText, writeup: WriteUp, pictures: Mapping[str, Picture]) -> bytes:
    kind = question.asked.kind
    cardinality, base = CARDINALITY[kind]
    root = etree.Element(tag("qti-assessment-item"), nsmap={None: ITEM})  # type: ignore[dict-item]
    root.attrib.update(
        {
            "identifier": f"q-{question.writeup}.{question.name}",
            "title": question.name,
            "adaptive": "false",
            "time-dependent": "false",
            LANG: "en",
        }
    )
    declaration = etree.SubElement(
        root,
        tag("qti-response-declaration"),
        attrib={"identifier": RESPONSE, "cardinality": cardinality, "base-type": base},
    )
    body = etree.Element(tag("div"), attrib=_own(question))
    write_paragraphs(body, question.stem)
    item = _Item(question, writeup, pictures, root, declaration, body)
    _WRITERS[kind](item)
    if question.says:
        item.said.append("says")
    _declare(item)
    etree.SubElement(root, tag("qti-item-body")).append(body)
    _process(item)
    if question.says:
        _modal(item)
    written: bytes = etree.tostring(root, xml_declaration=True, encoding="UTF-8")
    return written


def _own(question: QuestionText) -> dict[str, str]:
    """What only this site has, as attributes."""
    own = {
        "class": AS_WRITTEN,
        "data-writeup": question.writeup,
        "data-name": question.name,
        "data-steps": " ".join(question.steps),
    }
    if question.critical:
        own["data-critical"] = "yes"
    if question.mirror:
        own["data-mirror"] = "yes"
    return own


def _interaction(item: _Item, parent: etree._Element, **more: str) -> etree._Element:
    attrib = {"response-identifier": RESPONSE} | {
        name.replace("_", "-"): value for name, value in more.items()
    }
    return etree.SubElement(parent, tag(INTERACTIONS[item.asked.kind]), attrib=attrib)


def _correct(item: _Item, values: Sequence[str]) -> None:
    correct = etree.SubElement(item.declaration, tag("qti-correct-response"))
    for value in values:
        etree.SubElement(correct, tag("qti-value")).text = value


def _says(item: _Item, choice: etree._Element, outcome: str, identifier: str, said: str) -> None:
    """What is said of one choice after the answer."""
    if not said:
        return
    attrib = {"outcome-identifier": outcome, "identifier": identifier, "show-hide": "show"}
    write_words(etree.SubElement(choice, tag("qti-feedback-inline"), attrib=attrib), said)
    if outcome == FEEDBACK:
        item.fed_back = True
    else:
        item.said.append(identifier)


def _write_options(item: _Item) -> None:
    options = item.asked.options
    most = "1" if item.asked.kind == ONE else "0"  # 0 is no limit
    interaction = _interaction(item, item.body, shuffle="true", max_choices=most)
    for at, option in enumerate(options):
        choice = etree.SubElement(
            interaction, tag("qti-simple-choice"), attrib={"identifier": f"A{at + 1}"}
        )
        write_words(choice, option.text)
        if option.drawing:
            write_picture(choice, option.drawing, "")
        _says(item, choice, FEEDBACK, f"A{at + 1}", option.says)
    _correct(item, [f"A{at + 1}" for at, option in enumerate(options) if option.right])


def _write_order(item: _Item) -> None:
    asked = item.asked
    titles = {step.id: step.title for step in item.writeup.steps}
    if asked.variant:
        item.body.set("data-fork", json.dumps(dict(asked.variant), ensure_ascii=False))
    interaction = _interaction(item, item.body, shuffle="true")
    for at, step in enumerate(asked.steps):
        choice = etree.SubElement(
            interaction,
            tag("qti-simple-choice"),
            attrib={"identifier": f"S{at + 1}", "data-step": step},
        )
        write_words(choice, titles[step])
    right = sort_as_written(item.writeup, asked.steps)
    _correct(item, [f"S{asked.steps.index(step) + 1}" for step in right])


def _write_amount(item: _Item) -> None:
    item.body.set("data-amount", item.asked.amount)
    line = etree.SubElement(item.body, tag("p"))
    unit = read_amount(item.asked.amount).unit
    _interaction(item, line, expected_length="12").tail = f" {unit}"
    _correct(item, [f"{ends_of(item.asked.amount)[0]:f}"])


def _write_match(item: _Item) -> None:
    asked = item.asked
    partners = asked.partners
    interaction = _interaction(
        item, item.body, shuffle="true", max_associations=str(len(asked.pairs))
    )
    left = etree.SubElement(interaction, tag("qti-simple-match-set"))
    for at, pair in enumerate(asked.pairs):
        choice = _associable(left, f"L{at + 1}", pair.left, 1)
        _says(item, choice, SAYS, f"L{at + 1}", pair.says)
    right = etree.SubElement(interaction, tag("qti-simple-match-set"))
    for at, partner in enumerate(partners):
        _associable(right, f"R{at + 1}", partner, 0)
    _correct(
        item,
        [f"L{at + 1} R{partners.index(pair.right) + 1}" for at, pair in enumerate(asked.pairs)],
    )


def _associable(parent: etree._Element, name: str, words: str, most: int) -> etree._Element:
    choice = etree.SubElement(
        parent,
        tag("qti-simple-associable-choice"),
        attrib={"identifier": name, "match-max": str(most)},
    )
    write_words(choice, words)
    return choice


def _write_point(item: _Item) -> None:
    """A spot within a region, rather than one of a few marked ones, which would show the answer."""
    picture = item.pictures[item.asked.drawing]
    interaction = _interaction(item, item.body, max_choices="1")
    shown = write_picture(interaction, item.asked.drawing, picture.alt)
    shown.set("width", str(picture.box.width))
    shown.set("height", str(picture.box.height))
    mapping = etree.SubElement(
        item.declaration,
        tag("qti-area-mapping"),
        attrib={"default-value": "0", "lower-bound": "0", "upper-bound": "1"},
    )
    for region in item.asked.regions:
        shape, coords = shape_of(region, picture.box)
        etree.SubElement(
            mapping,
            tag("qti-area-map-entry"),
            attrib={"shape": shape, "coords": coords, "mapped-value": "1"},
        )


def shape_of(region: Region, box: Box) -> tuple[str, str]:
    """A region as the standard writes it: the shape, and its numbers from the upper left of the
    picture.
    """
    x, y = region.x - box.x, region.y - box.y
    if isinstance(region, Circle):
        return "circle", f"{x},{y},{region.radius}"
    return "rect", f"{x},{y},{x + region.width},{y + region.height}"


_WRITERS: dict[str, Callable[[_Item], None]] = {
    ONE: _write_options,
    ALL: _write_options,
    ORDER: _write_order,
    AMOUNT: _write_amount,
    MATCH: _write_match,
    POINT: _write_point,
}


def _declare(item: _Item) -> None:
    outcomes = [(SCORE, "single", "float")]
    if item.fed_back:
        outcomes.append((FEEDBACK, CARDINALITY[item.asked.kind][0], "identifier"))
    if item.said:
        outcomes.append((SAYS, "multiple", "identifier"))
    for name, cardinality, base in outcomes:
        etree.SubElement(
            item.root,
            tag("qti-outcome-declaration"),
            attrib={"identifier": name, "cardinality": cardinality, "base-type": base},
        )


def _process(item: _Item) -> None:
    """How an answer is marked: right or not. By the standard's own template where nothing else is
    to be said.
    """
    processing = etree.SubElement(item.root, tag("qti-response-processing"))
    is_amount, is_point = item.asked.kind == AMOUNT, item.asked.kind == POINT
    if not (item.fed_back or item.said or is_amount):
        name = "map_response_point" if is_point else "match_correct"
        processing.set("template", f"{TEMPLATES}/{name}.xml")
        return
    if is_point:
        scored = _set(processing, SCORE)
        etree.SubElement(scored, tag("qti-map-response-point"), attrib={"identifier": RESPONSE})
    else:
        condition = etree.SubElement(processing, tag("qti-response-condition"))
        right = etree.SubElement(condition, tag("qti-response-if"))
        _compare(item, right)
        _base(_set(right, SCORE), "float", "1")
        wrong = etree.SubElement(condition, tag("qti-response-else"))
        _base(_set(wrong, SCORE), "float", "0")
    if item.fed_back:
        chosen = _set(processing, FEEDBACK)
        etree.SubElement(chosen, tag("qti-variable"), attrib={"identifier": RESPONSE})
    if item.said:
        several = etree.SubElement(_set(processing, SAYS), tag("qti-multiple"))
        for identifier in item.said:
            _base(several, "identifier", identifier)


def _compare(item: _Item, right: etree._Element) -> None:
    if item.asked.kind == AMOUNT:
        _, below, above = ends_of(item.asked.amount)
        compared = etree.SubElement(
            right,
            tag("qti-equal"),
            attrib={
                "tolerance-mode": "absolute",
                "tolerance": f"{below:f} {above:f}",
                "include-lower-bound": "true",
                "include-upper-bound": "true",
            },
        )
    else:
        compared = etree.SubElement(right, tag("qti-match"))
    etree.SubElement(compared, tag("qti-variable"), attrib={"identifier": RESPONSE})
    etree.SubElement(compared, tag("qti-correct"), attrib={"identifier": RESPONSE})


def _set(parent: etree._Element, outcome: str) -> etree._Element:
    return etree.SubElement(parent, tag("qti-set-outcome-value"), attrib={"identifier": outcome})


def _base(parent: etree._Element, base: str, value: str) -> None:
    etree.SubElement(parent, tag("qti-base-value"), attrib={"base-type": base}).text = value


def _modal(item: _Item) -> None:
    attrib = {"outcome-identifier": SAYS, "identifier": "says", "show-hide": "show"}
    said = etree.SubElement(item.root, tag("qti-modal-feedback"), attrib=attrib)
    inside = etree.SubElement(said, tag("qti-content-body"))
    write_paragraphs(inside, item.question.says)
