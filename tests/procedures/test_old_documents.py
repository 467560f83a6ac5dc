"""Do old procedures of word processors and PDFs become drafts, with every word in the draft or told
as left out?
"""

import io

import pytest
from docx.oxml import OxmlElement
from hypothesis import example, given
from hypothesis import strategies as st

from procedures.records.documents.draft import draft_from_document
from procedures.records.documents.model import BadDocument, Document, OldPiece, Span
from procedures.records.documents.reading import read_document
from procedures.records.documents.tables import split_table
from procedures.records.wording.say import say
from procedures.writeup.parse import parse
from procedures.writeup.remarks import remark
from tests.procedures.old_files import docx_bytes, odt_bytes, pdf_bytes, picture_bytes

TABLE = (("Bolt", "Torque"), ("Foot bolt", "7 N·m"), ("Top cap", "28 | 30 N·m"))


def fill_docx(document):
    document.add_heading("Lower-leg service", 0)
    document.add_heading("Make ready", 1)
    document.add_paragraph("Put the fork in the stand.", style="List Number")
    step = document.add_paragraph("Let the air out. ", style="List Number")
    step.add_run("Press the core").bold = True
    step.add_run(" until the hiss stops.")
    document.add_paragraph().add_run("WARNING: Air under pressure can blind.").bold = True
    document.add_paragraph("Loosen the foot bolts.", style="List Number")
    table = document.add_table(rows=3, cols=2)
    for row, texts in zip(table.rows, TABLE, strict=True):
        for cell, text in zip(row.cells, texts, strict=True):
            cell.text = text
    document.add_picture(io.BytesIO(picture_bytes()))
    document.sections[0].footer.paragraphs[0].text = "Shop manual, page 1"


def fill_odt(document):
    from odf import style, table, text
    from odf.draw import Frame
    from odf.draw import Image as Drawn

    bold = style.Style(name="Strong", family="text")
    bold.addElement(style.TextProperties(fontweight="bold"))
    document.automaticstyles.addElement(bold)
    counted = text.ListStyle(name="Counted")
    counted.addElement(text.ListLevelStyleNumber(level=1, numformat="1", numsuffix="."))
    document.automaticstyles.addElement(counted)
    body = document.text
    body.addElement(text.H(outlinelevel=1, text="Lower-leg service"))
    body.addElement(text.H(outlinelevel=2, text="Make ready"))
    steps = text.List(stylename=counted)
    for words, strong, rest in (
        ("Put the fork in the stand.", "", ""),
        ("Let the air out. ", "Press the core", " until the hiss stops."),
    ):
        item, line = text.ListItem(), text.P(text=words)
        if strong:
            line.addElement(text.Span(stylename=bold, text=strong))
            line.addText(rest)
        item.addElement(line)
        steps.addElement(item)
    body.addElement(steps)
    warning = text.P()
    warning.addElement(text.Span(stylename=bold, text="WARNING: Air under pressure can blind."))
    body.addElement(warning)
    more = text.List(stylename=counted, continuenumbering="true")
    item = text.ListItem()
    item.addElement(text.P(text="Loosen the foot bolts."))
    more.addElement(item)
    body.addElement(more)
    grid = table.Table(name="Values")
    for texts in TABLE:
        row = table.TableRow()
        for words in texts:
            cell = table.TableCell()
            cell.addElement(text.P(text=words))
            row.addElement(cell)
        grid.addElement(row)
    body.addElement(grid)
    name = document.addPictureFromString(picture_bytes(), "image/png")
    line, frame = text.P(), Frame(width="5cm", height="3cm", anchortype="as-char")
    frame.addElement(Drawn(href=name))
    line.addElement(frame)
    body.addElement(line)


def drafted(name, data, **more):
    document, _ = read_document(name, data)
    return document, draft_from_document(document, picture="legs", **more)


@pytest.mark.parametrize(
    ("name", "make"),
    [("old.docx", lambda: docx_bytes(fill_docx)), ("old.odt", lambda: odt_bytes(fill_odt))],
)
def test_a_document_becomes_phases_steps_cautions_tables_and_pictures(name, make):
    document, draft = drafted(name, make())
    read = parse(draft.guessed.text)
    assert read.title == "Lower-leg service"
    assert [phase.title for phase in read.phases] == ["Make ready"]
    assert [step.title for step in read.steps] == [
        "Put the fork in the stand",
        "Let the air out",
        "Loosen the foot bolts",
        "Torque the foot bolt to 7 N·m",
    ]
    assert "**Press the core** until the hiss stops." in read.steps[1].body
    last = read.steps[2]
    assert [(one.word, one.text) for one in last.cautions] == [
        ("warning", "Air under pressure can blind.")
    ]
    assert "| Bolt | Torque |\n| --- | --- |\n| Top cap | 28 \\| 30 N·m |" in last.body
    assert "| Foot bolt | 7 N·m |" in read.steps[3].body
    assert "![Picture 1 of the old procedure](drawing:legs-1)" in last.body
    assert len(document.pictures) == 1
    told = {one.why.code for one in draft.guessed.unsure}
    assert told == {
        "torque-from-table",
        "torque-no-number",
        "picture-taken",
        "caution-in-next-step",
    }


def test_what_is_left_out_is_told_with_its_place():
    document, _ = drafted("old.docx", docx_bytes(fill_docx))
    (foot,) = document.left_out
    assert (say(foot.place), foot.text) == ("the whole document", "Shop manual, page 1")


def merged_docx(document):
    table = document.add_table(rows=4, cols=3)
    texts = (
        ("Part", "Tool", "Note"),
        ("Foot bolt", "8 mm hex", ""),
        ("Top cap", "", "dry"),
        ("Both sides", "", "mallet"),
    )
    for row, line in zip(table.rows, texts, strict=True):
        for cell, text in zip(row.cells, line, strict=True):
            cell.text = text
    table.cell(1, 1).merge(table.cell(2, 1)).text = "8 mm hex"
    table.cell(3, 0).merge(table.cell(3, 1)).text = "Both sides"
    # a content control round a row, as a form has it (ECMA-376 Part 1, 17.5.2)
    row = table.rows[1]._tr
    control = OxmlElement("w:sdt")
    row.addprevious(control)
    control.append(OxmlElement("w:sdtContent"))
    control[0].append(row)
    step = document.add_paragraph("Turn it ")
    step.add_run("3 turns").font.strike = True
    step.add_run("4 turns.")
    document.add_paragraph("Retired: 9 N·m").runs[0].font.double_strike = True


def merged_odt(document):
    from odf import style, table, text

    struck = style.Style(name="Struck", family="text")
    struck.addElement(style.TextProperties(textlinethroughstyle="solid"))
    document.automaticstyles.addElement(struck)
    whole = style.Style(name="StruckWhole", family="paragraph")
    whole.addElement(style.TextProperties(textlinethroughstyle="solid"))
    document.automaticstyles.addElement(whole)
    grid = table.Table(name="Tools")
    for line in (
        (("Part", {}), ("Tool", {}), ("Note", {})),
        (("Foot bolt", {}), ("8 mm hex", {"numberrowsspanned": 2}), ("", {})),
        (("Top cap", {}), None, ("dry", {})),
        (("Both sides", {"numbercolumnsspanned": 2}), None, ("mallet", {})),
    ):
        row = table.TableRow()
        for said in line:
            cell = table.CoveredTableCell() if said is None else table.TableCell(**said[1])
            cell.addElement(text.P(text=said[0] if said else ""))
            row.addElement(cell)
        grid.addElement(row)
    document.text.addElement(grid)
    step = text.P(text="Turn it ")
    step.addElement(text.Span(stylename=struck, text="3 turns"))
    step.addElement(text.Span(text="4 turns."))
    document.text.addElement(step)
    document.text.addElement(text.P(stylename=whole, text="Retired: 9 N·m"))


@pytest.mark.parametrize(
    ("name", "make"), [("old.docx", docx_bytes(merged_docx)), ("old.odt", odt_bytes(merged_odt))]
)
def test_merged_cells_keep_their_column_and_struck_words_are_left_out(name, make):
    document, _ = read_document(name, make)
    table, step = document.pieces
    assert table.rows == (
        ("Part", "Tool", "Note"),
        ("Foot bolt", "8 mm hex", ""),
        ("Top cap", "8 mm hex", "dry"),
        ("Both sides", "", "mallet"),
    )
    assert step.text == "Turn it 4 turns."
    told = [(say(one.place), one.text) for one in document.left_out]
    assert told == [("paragraph 1", "3 turns"), ("paragraph 2", "Retired: 9 N·m")]
    assert {say(one.why) for one in document.left_out} == {"These words are struck through."}


def test_a_pdf_is_put_together_from_lines_on_its_pages():
    head = (9, False, "Shop manual")
    pages = [
        [
            head,
            (20, True, "Lower-leg service"),
            (11, False, None),
            (14, True, "Make ready"),
            (11, False, "1. Put the fork in the stand. Turn the bars so that"),
            (11, False, "the valve is on top."),
            (11, True, "WARNING: Air under pressure can blind."),
            (11, False, None),
            (11, False, "2. Let the air out."),
        ],
        [head, (11, False, "3. Loosen the foot bolts.")],
        [head, (11, False, "4. Pull the lower legs off.")],
    ]
    image = (200, 100, picture_bytes(form="JPEG"))
    document, draft = drafted("old.pdf", pdf_bytes(pages, image=image))
    read = parse(draft.guessed.text)
    assert (read.title, [phase.title for phase in read.phases]) == (
        "Lower-leg service",
        ["Make ready"],
    )
    assert [step.title for step in read.steps] == [
        "Put the fork in the stand",
        "Let the air out",
        "Loosen the foot bolts",
        "Pull the lower legs off",
    ]
    assert "so that the valve is on top." in read.steps[0].body
    assert read.steps[1].cautions[0].text == "Air under pressure can blind."
    assert "(drawing:legs-1)" in read.steps[1].body
    assert {(one.why.code, one.text) for one in document.left_out} == {
        ("left-head-or-foot", "Shop manual"),
        ("left-layout", ""),
    }


def test_a_table_whose_rows_are_counted_is_steps():
    rows = (("No", "What", "Tool"), ("1", "Wash it.", "brush"), ("2", "Dry it.", ""))
    pieces = list(split_table(remark("place-table", number=1), rows))
    assert [(one.kind, one.label, one.text) for one in pieces] == [
        ("text", "", "No | What | Tool"),
        ("number", "1", "Wash it."),
        ("text", "", "Tool: brush"),
        ("number", "2", "Dry it."),
    ]


@pytest.mark.parametrize(
    ("rows", "kinds"),
    [
        ((("WARNING", "Hot oil."),), ["caution"]),
        ((("WARNING",), ("Hot oil.",)), ["caution"]),
        ((("Only a frame.",),), ["text"]),
        ((("1", "One."), ("3", "Three.")), ["table"]),
        ((("", ""),), []),
    ],
)
def test_what_else_a_table_may_be(rows, kinds):
    assert [one.kind for one in split_table(remark("place-table", number=1), rows)] == kinds


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("Never open a fork under air", "caution"),
        ("Hands off!", "caution"),
        ("Notice: Keep it dry.", "caution"),
        ("Tools you need", "heading"),
        ("This was only set in bold for once, and it is a sentence.", "text"),
    ],
)
def test_a_bold_line_is_a_warning_a_heading_or_text(text, kind):
    place = remark("place-paragraph", number=1)
    first = OldPiece(place, "heading", (Span("Title"),), "1")
    step = OldPiece(place, "number", (Span("Do it."),), "1")
    document = Document((first, step, OldPiece(place, "text", (Span(text, True),)), step))
    draft = draft_from_document(document, picture="x")
    (read,) = [one.kind for one in draft.guessed.read if one.text == text]
    assert read == {"heading": "phase"}.get(kind, kind)


letters = st.characters(exclude_categories=("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"))
words = st.text(letters, min_size=1, max_size=30).filter(lambda text: text.strip())
runs = st.lists(st.builds(Span, words, st.booleans()), min_size=1, max_size=4).map(tuple)
texts = st.builds(
    lambda kind, its, label, level: OldPiece(
        remark("place-paragraph", number=1),
        *(kind, its, "2" if kind == "heading" else label if kind == "number" else ""),
        level=level if kind in ("number", "bullet") else 0,
    ),
    st.sampled_from(["text", "heading", "number", "bullet"]),
    runs,
    st.integers(1, 99).map(str),
    st.integers(0, 2),
)
tables = st.lists(st.lists(words, min_size=2, max_size=3).map(tuple), min_size=2, max_size=3).map(
    lambda rows: OldPiece(remark("place-table", number=1), "table", rows=tuple(rows))
)


def kept_letters(text):
    """The letters and digits of a text, whatever marks stand between them."""
    return "".join(one for one in text.replace("&lt;", "<") if one.isalnum())


@given(st.lists(texts | tables, min_size=1, max_size=8))
def test_no_word_of_a_document_is_lost(pieces):
    """Every letter of every piece stands in the draft, in the order of the document but for
    cautions, which go into the step after them; every line of it is told as something.
    """
    document = Document(tuple(pieces))
    draft = draft_from_document(document, picture="x")
    read = parse(draft.guessed.text)
    assert not [fault for fault in read.faults if fault.code == "bad-header"]
    whole = kept_letters(draft.guessed.text)
    for piece in pieces:
        for text in [piece.text, *(cell for row in piece.rows for cell in row)]:
            assert kept_letters(text) in whole, text
    told = {one.line for one in draft.guessed.read}
    assert len(told) >= len(pieces)
    assert told <= set(draft.places)


def read_or_refused(data, name):
    """What a page would say of these bytes."""
    try:
        found, said = read_document(name, data)
    except BadDocument as bad:
        return say(bad.remark)
    return "".join(map(say, said)) or found


@example(b"\x01", "a.txt")
@given(st.binary(max_size=300), st.sampled_from(["a.docx", "a.odt", "a.pdf", "a.txt", "a"]))
def test_bytes_of_any_kind_are_read_or_refused_with_a_sentence(data, name):
    assert read_or_refused(data, name)
