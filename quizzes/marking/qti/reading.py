"""Which question does an item of QTI 3.0.1 ask?

Only known shapes are taken, and nothing is changed in silence: whatever an item says that a
question here cannot say is a reason to leave the item out, or a note beside it.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, TypeAlias

from lxml import etree

from procedures.pictures.xml import BadXml, read_xml
from procedures.writeup.remarks import Remark, remark
from quizzes.kinds.choose_all import ALL
from quizzes.kinds.choose_one import ONE
from quizzes.kinds.give_amount import AMOUNT
from quizzes.kinds.match import MATCH
from quizzes.kinds.point_at import POINT
from quizzes.kinds.put_in_order import ORDER
from quizzes.kinds.spots import Box
from quizzes.marking.qti.amounts import amount_of
from quizzes.marking.qti.names import HOTSPOT, INTERACTIONS, ITEM, local_name, tag
from quizzes.marking.qti.schema import load_schema
from quizzes.marking.qti.scoring import scoring_fault
from quizzes.marking.qti.words import AS_WRITTEN, DRAWING, read_paragraphs, read_words

BoxOf: TypeAlias = Callable[[str], "Box | None"]
LARGEST = 1_000_000  # bytes of one item; the longest question here has a thousandth of that
NOT_NAME = re.compile(r"[^A-Za-z0-9_-]+")
OLDER = "http://www.imsglobal.org/xsd/imsqti_v2"
WHOLE = re.compile(r"\d{1,5}(?:\.0+)?")


class NotRead(ValueError):
    """This item cannot come in; `remark` says why."""

    def __init__(self, said: Remark) -> None:
        super().__init__(said)
        self.remark = said


@dataclass(frozen=True, slots=True)
class ItemRead:
    """What an item asks, as an entry of a YAML text of questions; `writeup` and the entry's steps
    are empty where the item does not name them.
    """

    writeup: str
    name: str
    entry: dict[str, Any]
    notes: tuple[Remark, ...]


@dataclass(slots=True)
class _Item:
    """An item while it is read."""

    root: etree._Element
    declaration: etree._Element
    body: etree._Element
    interaction: etree._Element
    box_of: BoxOf
    own: Mapping[str, str]  # the attributes that only this site writes
    notes: list[Remark] = field(default_factory=list)

    @property
    def keep(self) -> bool:
        return self.own.get("class") == AS_WRITTEN

    def correct(self) -> list[str]:
        found = self.declaration.iterfind(f"{tag('qti-correct-response')}/{tag('qti-value')}")
        return [" ".join((value.text or "").split()) for value in found]


def read_tree(data: bytes) -> etree._Element:
    """The tree of an XML text from outside. Raises NotRead."""
    if len(data) > LARGEST:
        raise NotRead(remark("qti-too-large", most=LARGEST))
    try:
        return read_xml(data)
    except BadXml as bad:
        if bad.has_type:
            raise NotRead(remark("qti-doctype")) from bad
        raise NotRead(remark("qti-no-xml", line=bad.line)) from bad


def read_item(data: bytes, box_of: BoxOf) -> ItemRead:
    """The question of an item; `box_of` gives the size of a drawing that the shop has. Raises
    NotRead.
    """
    item = _open(read_tree(data), box_of)
    kind = _kind_of(item)
    if fault := scoring_fault(item.root, kind):
        raise NotRead(fault)
    own = item.own
    name = own.get("data-name") or NOT_NAME.sub("-", item.root.get("identifier", "")).strip("-")
    entry: dict[str, Any] = {"name": name, "kind": kind, "steps": own.get("data-steps", "").split()}
    for key in ("critical", "mirror"):
        if own.get(f"data-{key}") == "yes":
            entry[key] = True
    entry["stem"] = _stem(item)
    entry |= _READERS[kind](item)
    if says := _says_after(item):
        entry["says"] = says
    return ItemRead(own.get("data-writeup", ""), name, entry, tuple(item.notes))


def _open(root: etree._Element, box_of: BoxOf) -> _Item:
    space = etree.QName(root).namespace or ""
    if space.startswith(OLDER):
        raise NotRead(remark("qti-older"))
    if space != ITEM or local_name(root.tag) != "qti-assessment-item":
        raise NotRead(remark("qti-no-item", name=local_name(root.tag)))
    schema = load_schema()
    if not schema.validate(root):
        error = schema.error_log.last_error
        raise NotRead(remark("qti-shape", line=error.line if error is not None else 0))
    if root.get("adaptive") == "true":
        raise NotRead(remark("qti-adaptive"))
    body = root.find(tag("qti-item-body"))
    declaration = root.find(tag("qti-response-declaration"))
    names = {*INTERACTIONS.values(), HOTSPOT}
    found = [one for one in root.iter() if local_name(one.tag) in names]
    if body is None or declaration is None or len(found) != 1:
        raise NotRead(remark("qti-not-one", count=len(found)))
    # What is written here stands in one `div`; what comes from elsewhere stands in the body.
    own = next((one for one in body if one.get("class") == AS_WRITTEN), None)
    inside = body if own is None else own
    attributes = {str(key): str(value) for key, value in inside.attrib.items()}
    return _Item(root, declaration, inside, found[0], box_of, attributes)


def _kind_of(item: _Item) -> str:
    name = local_name(item.interaction.tag)
    if name == HOTSPOT:
        return POINT
    several = item.declaration.get("cardinality") == "multiple"
    kinds = [kind for kind, one in INTERACTIONS.items() if one == name]
    return kinds[0] if len(kinds) == 1 else ALL if several else ONE


def _stem(item: _Item) -> str:
    """What stands before the interaction, and its prompt."""
    around = _around(item)
    before = [one for one in item.body if one is not around and _stands_before(one, around)]
    said = [read_paragraphs(iter(before), keep=item.keep)]
    if not item.keep:
        said.insert(0, (item.body.text or "").strip())
        if (
            local_name(item.interaction.tag) == "qti-text-entry-interaction"
            and around is not item.body
        ):
            said.append(_sentence_with_gap(item, around))
    prompt = item.interaction.find(tag("qti-prompt"))
    if prompt is not None:
        said.append(read_words(prompt, keep=False))
    return "\n\n".join(filter(None, said))


def _around(item: _Item) -> etree._Element:
    """The child of the body in which the interaction stands."""
    one = item.interaction
    while (parent := one.getparent()) is not None and parent is not item.body:
        one = parent
    return one


def _stands_before(one: etree._Element, other: etree._Element) -> bool:
    return any(behind is other for behind in one.itersiblings())


def _sentence_with_gap(item: _Item, around: etree._Element) -> str:
    """The sentence in which a number is to be typed, where it is more than the number's unit."""
    before = (around.text or "").strip()
    return " ".join(f"{before} … {(item.interaction.tail or '').strip()}".split()) if before else ""


def _choices(item: _Item) -> list[etree._Element]:
    return list(item.interaction.iterfind(tag("qti-simple-choice")))


def _read_options(item: _Item) -> dict[str, Any]:
    right = item.correct()
    options: list[dict[str, Any]] = []
    for choice in _choices(item):
        option: dict[str, Any] = {}
        drawing = _take_drawing(choice)
        option["text"] = read_words(choice, keep=item.keep)
        if choice.get("identifier") in right:
            option["right"] = True
        if drawing:
            option["drawing"] = drawing
        if says := _says_of(item, choice):
            option["says"] = says
        options.append(option)
    return {"options": options}


def _take_drawing(choice: etree._Element) -> str:
    """The name of the drawing of a choice, which is taken out of its words."""
    pictures = list(choice.iterfind(tag("img")))
    if not pictures:
        return ""
    found = DRAWING.fullmatch(pictures[0].get("src", ""))
    if found is None or len(pictures) > 1:
        raise NotRead(remark("qti-picture", name=pictures[0].get("src", "")))
    # Its tail is the choice's own text, and goes with it otherwise.
    before, tail = pictures[0].getprevious(), pictures[0].tail or ""
    if before is None:
        choice.text = (choice.text or "") + tail
    else:
        before.tail = (before.tail or "") + tail
    choice.remove(pictures[0])
    return found[1]


def _says_of(item: _Item, choice: etree._Element) -> str:
    said = list(choice.iterfind(tag("qti-feedback-inline")))
    fits = [one for one in said if one.get("identifier") == choice.get("identifier")]
    if len(fits) < len(said):
        item.notes.append(remark("qti-feedback-left-out"))
    return read_words(fits[0], keep=item.keep) if fits else ""


def _says_after(item: _Item) -> str:
    """What is said in any case; what is said only of some answers cannot come in."""
    found = list(item.root.iterfind(tag("qti-modal-feedback")))
    if not found:
        return ""
    if not item.keep or len(found) > 1:
        item.notes.append(remark("qti-feedback-left-out"))
        return ""
    inside = found[0].find(tag("qti-content-body"))
    return read_paragraphs(iter(found[0] if inside is None else inside), keep=True)


def _read_order(item: _Item) -> dict[str, Any]:
    choices = _choices(item)
    steps = [choice.get("data-step", "") for choice in choices]
    if not all(steps) or steps != item.own.get("data-steps", "").split():
        raise NotRead(remark("qti-order-without-steps"))
    return {"variant": _fork(item)} if "data-fork" in item.own else {}


def _fork(item: _Item) -> dict[str, str]:
    try:
        fork = json.loads(item.own["data-fork"])
    except ValueError:
        fork = None
    if not isinstance(fork, dict) or not all(isinstance(one, str) for one in fork.values()):
        raise NotRead(remark("qti-fork"))
    return fork


def _read_amount(item: _Item) -> dict[str, Any]:
    amount = amount_of(
        item.root, item.correct(), item.interaction.tail or "", item.own.get("data-amount", "")
    )
    if isinstance(amount, Remark):
        raise NotRead(amount)
    return {"amount": amount}


def _read_pairs(item: _Item) -> dict[str, Any]:
    sets = list(item.interaction.iterfind(tag("qti-simple-match-set")))
    left, right = ({str(one.get("identifier")): one for one in group} for group in sets)
    belongs = dict(pair.split(" ", 1) for pair in item.correct() if " " in pair)
    if set(belongs) != set(left) or len(item.correct()) != len(left):
        raise NotRead(remark("qti-pairs"))
    if not set(belongs.values()) <= set(right):
        raise NotRead(remark("qti-pairs"))
    pairs = []
    for name, choice in left.items():
        pair = {
            "left": read_words(choice, keep=item.keep),
            "right": read_words(right[belongs[name]], keep=item.keep),
        }
        if says := _says_of(item, choice):
            pair["says"] = says
        pairs.append(pair)
    spare = [
        read_words(choice, keep=item.keep)
        for name, choice in right.items()
        if name not in belongs.values()
    ]
    return {"pairs": pairs} | ({"spare": spare} if spare else {})


def _read_spot(item: _Item) -> dict[str, Any]:
    picture = item.interaction.find(tag("img"))
    source = "" if picture is None else picture.get("src", "")
    found = DRAWING.fullmatch(source)
    box = item.box_of(found[1]) if found else None
    if picture is None or found is None or box is None:
        raise NotRead(remark("qti-picture", name=source))
    size = picture.get("width", ""), picture.get("height", "")
    # Spots of a picture in another size would lie elsewhere on the drawing.
    if size != (str(box.width), str(box.height)):
        raise NotRead(remark("qti-size", name=found[1], width=box.width, height=box.height))
    return {"drawing": found[1], "regions": [_region(shape, box) for shape in _shapes(item)]}


def _shapes(item: _Item) -> list[tuple[str, str]]:
    """The shapes of the right spots, each with its numbers."""
    if local_name(item.interaction.tag) == HOTSPOT:
        right, found = item.correct(), list(item.interaction.iterfind(tag("qti-hotspot-choice")))
        if len(found) > len(right):
            item.notes.append(remark("qti-wrong-spots"))
        found = [one for one in found if one.get("identifier") in right]
    else:
        mapping = item.declaration.find(tag("qti-area-mapping"))
        found = [] if mapping is None else list(mapping)
        if any(one.get("mapped-value") != "1" for one in found):
            raise NotRead(remark("qti-scoring"))
    return [(one.get("shape", ""), one.get("coords", "")) for one in found]


def _region(shape: tuple[str, str], box: Box) -> dict[str, int]:
    kind, coords = shape
    words = [one.strip() for one in coords.split(",")]
    if not all(map(WHOLE.fullmatch, words)):
        raise NotRead(remark("qti-spot", shape=kind))
    numbers = [int(one.partition(".")[0]) for one in words]
    if kind == "circle" and len(numbers) == 3:
        return {"x": numbers[0] + box.x, "y": numbers[1] + box.y, "radius": numbers[2]}
    if kind == "rect" and len(numbers) == 4:
        left, upper, right, lower = numbers
        return {
            "x": left + box.x,
            "y": upper + box.y,
            "width": right - left,
            "height": lower - upper,
        }
    raise NotRead(remark("qti-spot", shape=kind))


_READERS: dict[str, Callable[[_Item], dict[str, Any]]] = {
    ONE: _read_options,
    ALL: _read_options,
    ORDER: _read_order,
    AMOUNT: _read_amount,
    MATCH: _read_pairs,
    POINT: _read_spot,
}
