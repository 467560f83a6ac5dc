"""Does a question go out as an item of QTI 3.0.1 and come in the same, and is everything else told?

The element names, cardinalities and base types are those of 1EdTech's QTI 3.0 information model, as
its public examples use them; the items here are our own, written after it (the examples may be read
and not copied). There is no copy of the standard's own schema here. Tolerances are marked by the
standard's words for `qti-equal` (absolute: from x - t0 to x + t1, both included).
"""

import io
import re
import zipfile
from decimal import Decimal
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from procedures.writeup.parse import parse
from quizzes.kinds.give_amount import GiveAmount
from quizzes.kinds.spots import Box, drawings_of
from quizzes.marking.qti.names import PACKAGE, tag
from quizzes.marking.qti.package import pack, unpack
from quizzes.marking.qti.reading import NotRead, read_item
from quizzes.marking.qti.schema import load_schema
from quizzes.marking.qti.words import read_paragraphs, write_paragraphs
from quizzes.marking.qti.writing import Picture, write_item
from quizzes.marking.texts import read_questions
from quizzes.marking.writing import write_entries
from tests.for_each import for_each

ROOT = Path(__file__).parents[2]
SPACE = 'xmlns="http://www.imsglobal.org/xsd/imsqtiasi_v3p0"'


@cache
def box_of(name):
    file = ROOT / "procedures" / "drawings" / f"{name}.svg"
    if not file.exists():
        return None
    numbers = re.search(r'viewBox="([-\d. ]+)"', file.read_text(encoding="utf-8"))[1].split()
    return Box(*(round(float(one)) for one in numbers))


@cache
def text_of(writeup):
    texts = sorted((ROOT / "fixtures" / "writeups").glob(f"{writeup}*.md"))
    return parse(texts[-1].read_text(encoding="utf-8"))


def written(question):
    names = drawings_of(question.stem, question.asked)
    pictures = {name: Picture(box, "Drawn.") for name in names if (box := box_of(name))}
    return write_item(question, text_of(question.writeup), pictures)


def questions_of(name):
    file = ROOT / "fixtures" / "questions" / f"{name}.yaml"
    return read_questions(file.read_text(encoding="utf-8"))


BANKS = sorted(path.stem for path in (ROOT / "fixtures" / "questions").glob("*.yaml"))


@pytest.mark.parametrize("bank", BANKS)
def test_what_went_out_comes_in_the_same(bank):
    for question in questions_of(bank):
        item = written(question)
        assert load_schema().validate(etree.fromstring(item))
        read = read_item(item, box_of)
        assert not read.notes
        (again,) = read_questions(write_entries(read.writeup, [read.entry]))
        for part in ("writeup", "name", "stem", "asked", "steps", "critical", "says", "mirror"):
            assert getattr(again, part) == getattr(question, part), (question.name, part)


@given(st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"]) | st.just("\n")))
def test_words_come_back_letter_by_letter(words):
    words = "".join(one for one in words if one not in "\ufffe\uffff")
    parent = etree.Element(tag("div"))
    write_paragraphs(parent, words)
    # through the bytes, as another program would have it
    again = etree.fromstring(etree.tostring(parent, encoding="UTF-8"))
    assert read_paragraphs(iter(again), keep=True) == words


def test_a_number_is_right_by_the_standard_just_where_it_is_right_here():
    for question in questions_of("air-spring-service") + questions_of("damper-service"):
        if not isinstance(question.asked, GiveAmount):
            continue
        root = etree.fromstring(written(question))
        right = Decimal(root.findtext(f".//{tag('qti-value')}"))
        equal = root.find(f".//{tag('qti-equal')}")
        below, above = map(Decimal, equal.get("tolerance").split())
        unit = root.find(f".//{tag('qti-text-entry-interaction')}").tail.strip()
        step = Decimal("0.001")
        for answer in (right - below - step, right - below, right, right + above):
            marked = question.asked.marks(f"{answer} {unit}", None)
            assert marked.right == (right - below <= answer <= right + above), (question, answer)
        assert not question.asked.marks(f"{right + above + step} {unit}", None).right


def foreign(declaration, body, processing="match_correct", more=""):
    template = f'<qti-response-processing template="https://x.test/{processing}.xml"/>'
    return (
        f'<qti-assessment-item {SPACE} identifier="i 1" title="T" adaptive="false" '
        f'time-dependent="false"><qti-response-declaration identifier="RESPONSE" {declaration}'
        f"</qti-response-declaration><qti-item-body>{body}</qti-item-body>"
        f"{template if processing.isidentifier() else processing}{more}</qti-assessment-item>"
    ).encode()


def right(*values):
    inside = "".join(f"<qti-value>{one}</qti-value>" for one in values)
    return f"<qti-correct-response>{inside}</qti-correct-response>"


CHOICE = (
    'cardinality="single" base-type="identifier">' + right("B"),
    "<p>Which part  holds\n the air?</p><qti-choice-interaction response-identifier='RESPONSE' "
    "max-choices='1'><qti-prompt>Choose <b>one</b>.</qti-prompt>"
    "<qti-simple-choice identifier='A'>The damper</qti-simple-choice>"
    "<qti-simple-choice identifier='B'>The air piston</qti-simple-choice>"
    "</qti-choice-interaction>",
)


def test_a_choice_of_another_program_is_read():
    read = read_item(foreign(*CHOICE), box_of)
    assert read.writeup == ""
    assert read.entry == {
        "name": "i-1",
        "kind": "choose one",
        "steps": [],
        "stem": "Which part holds the air?\n\nChoose **one**.",
        "options": [{"text": "The damper"}, {"text": "The air piston", "right": True}],
    }


def number(equal, unit):
    rules = (
        "<qti-response-processing><qti-response-condition><qti-response-if>"
        f'<qti-equal {equal}><qti-variable identifier="RESPONSE"/>'
        '<qti-correct identifier="RESPONSE"/></qti-equal><qti-set-outcome-value '
        'identifier="SCORE"><qti-base-value base-type="float">1</qti-base-value>'
        "</qti-set-outcome-value></qti-response-if></qti-response-condition>"
        "</qti-response-processing>"
    )
    body = (
        "<p>How tight is the top cap?</p><p>It takes <qti-text-entry-interaction "
        f"response-identifier='RESPONSE'/> {unit}</p>"
    )
    return foreign('cardinality="single" base-type="float">' + right("28"), body, rules)


@pytest.mark.parametrize(
    ("equal", "unit", "amount"),
    [
        ('tolerance-mode="exact"', "N·m", "28 N·m"),
        ('tolerance-mode="absolute" tolerance="2"', "N·m.", "28 ± 2 N·m"),
        ('tolerance-mode="absolute" tolerance="2 3"', "N·m at the cap", "26..31 N·m"),
        # relative tolerance is in per cent: 28 x (1 - 5/100) to 28 x (1 + 5/100)
        ('tolerance-mode="relative" tolerance="5.0 5.0"', "N·m", "28 ± 1.4 N·m"),
    ],
)
def test_a_number_of_another_program_is_read_with_its_tolerance(equal, unit, amount):
    read = read_item(number(equal, unit), box_of)
    assert read.entry["amount"] == amount
    assert read.entry["stem"].startswith("How tight is the top cap?\n\nIt takes …")
    assert GiveAmount(amount).marks("28 N·m", None).right


def test_the_right_spots_of_a_picture_are_read_and_the_wrong_ones_told():
    box = box_of("wiper-lip-in")
    body = (
        "<qti-hotspot-interaction response-identifier='RESPONSE' max-choices='1'>"
        f"<img src='drawings/wiper-lip-in.svg' alt='' width='{box.width}' height='{box.height}'/>"
        "<qti-hotspot-choice identifier='A' shape='circle' coords='40,50,9'/>"
        "<qti-hotspot-choice identifier='B' shape='rect' coords='1,2,11,22'/>"
        "</qti-hotspot-interaction>"
    )
    read = read_item(
        foreign('cardinality="single" base-type="identifier">' + right("B"), body), box_of
    )
    assert read.entry["regions"] == [{"x": 1 + box.x, "y": 2 + box.y, "width": 10, "height": 20}]
    assert [note.code for note in read.notes] == ["qti-wrong-spots"]


ORDER = "<qti-order-interaction response-identifier='RESPONSE'>{}</qti-order-interaction>".format(
    "".join(f"<qti-simple-choice identifier='{one}'>{one}</qti-simple-choice>" for one in "AB")
)
LEFT_OUT = {
    "qti-scoring": foreign(*CHOICE, "map_response"),
    "qti-not-one": foreign(CHOICE[0], CHOICE[1] * 2),
    "qti-shape": foreign(CHOICE[0], f"{CHOICE[1]}<table><tr><td>a</td></tr></table>"),
    "qti-adaptive": foreign(*CHOICE).replace(b'adaptive="false"', b'adaptive="true"'),
    "qti-older": foreign(*CHOICE).replace(b"imsqtiasi_v3p0", b"imsqti_v2p2"),
    "qti-no-item": foreign(*CHOICE).replace(b"qti-assessment-item", b"qti-assessment-test"),
    "qti-no-xml": foreign(*CHOICE)[:-9],
    "qti-too-large": foreign(*CHOICE) + b" " * 1_000_000,
    "qti-order-without-steps": foreign(
        'cardinality="ordered" base-type="identifier">' + right("A", "B"), ORDER
    ),
    "qti-unit": number('tolerance-mode="exact"', "furlongs"),
    "qti-tolerance": number(
        'tolerance-mode="absolute" tolerance="1 1" include-lower-bound="false"', "N·m"
    ),
    "qti-picture": foreign(
        CHOICE[0], CHOICE[1].replace("The damper", "<img src='https://x.test/a.png' alt=''/>")
    ),
    # entities: the first names a file, the second grows without end (both in a DOCTYPE)
    "qti-doctype": b'<!DOCTYPE a [<!ENTITY b SYSTEM "file:///etc/hostname">]>' + foreign(*CHOICE),
}


@for_each(LEFT_OUT)
def test_what_cannot_come_in_is_told(code):
    with pytest.raises(NotRead) as told:
        read_item(LEFT_OUT[code], box_of)
    assert told.value.remark.code == code


def test_items_that_would_fill_the_memory_are_refused():
    bomb = "".join(f'<!ENTITY e{n} "{f"&e{n - 1};" * 10}">' for n in range(1, 12))
    deep = b"<a>" * 5_000
    for data in (f'<!DOCTYPE a [<!ENTITY e0 "x">{bomb}]><a>&e11;</a>'.encode(), deep):
        with pytest.raises(NotRead):
            read_item(data, box_of)


def test_an_answer_that_was_changed_on_the_way_does_not_come_in_as_the_old_one():
    question = next(
        one for one in questions_of("air-spring-service") if isinstance(one.asked, GiveAmount)
    )
    changed = re.sub(rb"<qti-value>[^<]+<", b"<qti-value>999<", written(question))
    with pytest.raises(NotRead) as told:
        read_item(changed, box_of)
    assert told.value.remark.code == "qti-amount-differs"


def zipped(**files):
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w") as packed:
        for name, data in files.items():
            packed.writestr(name.replace("_", "."), data)
    return whole.getvalue()


def manifest(*resources):
    inside = "".join(f'<resource type="{kind}" href="{href}"/>' for kind, href in resources)
    return f'<manifest xmlns="{PACKAGE}"><resources>{inside}</resources></manifest>'


def test_a_package_is_the_same_bytes_again_and_holds_what_was_put_in():
    packed = pack({"a.b": foreign(*CHOICE)}, {"x": b"<svg/>"})
    assert packed == pack({"a.b": foreign(*CHOICE)}, {"x": b"<svg/>"})
    (one,) = unpack(packed)
    assert (one.where, one.data) == ("items/a.b.xml", foreign(*CHOICE))


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"no zip", "qti-no-zip"),
        (zipped(a_xml=b""), "qti-no-manifest"),
        (zipped(imsmanifest_xml=b"<a"), "qti-no-xml"),
        (pack({}, {})[:60], "qti-no-zip"),
    ],
)
def test_what_is_no_package_is_told(data, code):
    with pytest.raises(NotRead) as told:
        unpack(data)
    assert told.value.remark.code == code


def test_a_package_opens_only_what_lies_in_it():
    listed = manifest(
        ("imsqti_item_xmlv3p0", "../../../etc/passwd"),
        ("imsqti_item_xmlv2p2", "old.xml"),
        ("imsqti_test_xmlv3p0", "test.xml"),
    )
    found = unpack(zipped(imsmanifest_xml=listed))
    assert [one.fault.code for one in found] == ["qti-file-missing", "qti-older", "qti-not-an-item"]
