"""Is an old document that was made to break things, or is only odd, told with a sentence, with
nothing half kept and memory bounded?

The expectations are those of the formats (ECMA-376 Part 1, OpenDocument 1.3, ISO 32000-1); nothing
here is copied from what the program once said.
"""

import io
import subprocess
import sys
import textwrap
import zipfile
import zlib
from pathlib import Path

import pytest

from procedures.records.documents.draft import draft_from_document
from procedures.records.documents.model import BadDocument
from procedures.records.documents.reading import read_document
from procedures.records.wording.say import say
from tests.procedures.old_files import docx_bytes, odt_bytes, pdf_bytes, picture_bytes, rewritten

pytestmark = pytest.mark.any_database  # documents only

ROOT = Path(__file__).parents[2]
DOCUMENT = "word/document.xml"


def one_line(document):
    document.add_paragraph("1. Open the valve.")


def refusal(name, data):
    with pytest.raises(BadDocument) as bad:
        read_document(name, data)
    assert say(bad.value.remark)
    return bad.value.remark.code


def put_into(data, before, xml):
    """The document with this XML before a mark of its own."""

    def change(parts):
        assert before in parts[DOCUMENT]
        parts[DOCUMENT] = parts[DOCUMENT].replace(before, xml + before, 1)

    return rewritten(data, change)


def left(data, name="old.docx"):
    document, _ = read_document(name, data)
    return {one.why.code: one.text for one in document.left_out}


def entity(parts):
    bomb = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaaaaaaaa">]><x>&a;</x>'
    parts[DOCUMENT if DOCUMENT in parts else "content.xml"] = bomb


def bomb(parts):
    parts["word/media/huge.bin"] = b"\0" * 120_000_000


def long_text(parts):
    start, end = parts[DOCUMENT].split(b"<w:body>", 1)
    line = b"<w:p><w:r><w:t>" + b"word " * 200 + b"</w:t></w:r></w:p>"
    parts[DOCUMENT] = start + b"<w:body>" + line * 200 + end


def deep(parts):
    start, end = parts[DOCUMENT].split(b"<w:body>", 1)
    nest = b"<w:sdt><w:sdtContent>" * 5_000 + b"</w:sdtContent></w:sdt>" * 5_000
    parts[DOCUMENT] = start + b"<w:body>" + nest + end


@pytest.mark.parametrize(
    ("change", "code"),
    [
        (bomb, "document-bomb"),
        (entity, "document-of-document-type"),
        (long_text, "document-too-long"),
        # lxml itself stops at 256 levels
        (deep, "document-damaged"),
        (lambda parts: parts.pop(DOCUMENT), "document-other-kind"),
        (lambda parts: parts.update({DOCUMENT: b"<x"}), "document-damaged"),
    ],
)
def test_a_docx_that_would_break_something_is_refused(change, code):
    assert refusal("old.docx", docx_bytes(one_line, change=change)) == code


def test_what_is_locked_old_or_cut_off_is_told_as_that():
    from pypdf import PdfWriter

    writer = PdfWriter()
    writer.add_blank_page(100, 100)
    writer.encrypt("secret")
    locked = io.BytesIO()
    writer.write(locked)
    assert refusal("old.pdf", locked.getvalue()) == "document-locked"
    # MS-CFB 2.2: the first eight bytes of a compound file, of a .doc or of a locked .docx
    assert refusal("old.doc", bytes.fromhex("d0cf11e0a1b11ae1") + b"\0" * 600) == (
        "document-old-or-locked"
    )
    assert refusal("old.rtf", rb"{\rtf1 Wash it.}") == "document-rich-text"
    whole = docx_bytes(one_line)
    assert refusal("old.docx", whole[: len(whole) // 2]) == "document-damaged"
    encrypted = rewritten(odt_bytes(odt_line), lock_odt)
    assert refusal("old.odt", encrypted) == "document-locked"


def odt_line(document):
    from odf import text

    document.text.addElement(text.P(text="1. Open the valve."))


def lock_odt(parts):
    """As OpenDocument 1.3, part 2, 4.8: the manifest says that a part is encrypted."""
    manifest = parts["META-INF/manifest.xml"]
    assert b"</manifest:manifest>" in manifest
    entry = (
        b'<manifest:file-entry manifest:full-path="x" manifest:media-type="">'
        b"<manifest:encryption-data/></manifest:file-entry></manifest:manifest>"
    )
    parts["META-INF/manifest.xml"] = manifest.replace(b"</manifest:manifest>", entry)


def test_a_pdf_of_two_hundred_pages_and_one_of_scans_are_told():
    many = pdf_bytes([[(11, False, "1. Wash it.")]] * 200)
    assert refusal("old.pdf", many) == "document-many-pages"
    assert refusal("old.pdf", pdf_bytes([[]])) == "document-without-words"


def test_a_page_that_unpacks_to_very_much_is_refused():
    content = zlib.compress(b"BT /F1 11 Tf (x) Tj ET " * 400_000)
    made = pdf_bytes([[(11, False, "x")]])
    head = made.split(b"<< /Length", 1)[0].rsplit(b"\n", 2)[0]
    number = int(made[len(head) + 1 :].split(b" ", 1)[0])
    stream = b"<< /Filter /FlateDecode /Length %d >>\nstream\n" % len(content)
    body = b"%d 0 obj\n%s%s\nendstream\nendobj\n" % (number, stream, content)
    start = made.index(b"%d 0 obj" % number)
    end = made.index(b"endobj\n", start) + len(b"endobj\n")
    assert refusal("old.pdf", made[:start] + body + made[end:]) == "document-bomb"


def test_an_empty_file_and_a_wrong_ending_are_told():
    assert refusal("old.docx", b"") == "document-empty"
    assert refusal("old.txt", b" \n") == "document-empty"
    assert refusal("old.txt", b"a\0b") == "document-no-text"
    assert refusal("old.docx", b"only text") == "document-other-kind"
    assert refusal("old.docx", docx_bytes(lambda document: None)) == "document-without-words"
    _, said = read_document("old.pdf", docx_bytes(one_line))
    assert [(one.code, dict(one.args)["kind"]) for one in said] == [("read-by-content", ".docx")]


@pytest.mark.parametrize(
    ("data", "code"),
    [
        ("1. 7 N·m bei 20 °C".encode("cp1252"), "read-as-windows-1252"),
        ("1. 7 N·m bei 20 °C".encode("utf-16"), "read-as-utf-16"),
        ("1. 7 N·m bei 20 °C".encode("utf-8-sig"), ""),
    ],
)
def test_a_text_of_an_old_code_page_is_read_and_told(data, code):
    text, said = read_document("old.txt", data)
    assert text == "1. 7 N·m bei 20 °C"
    assert [one.code for one in said] == [code] * bool(code)


def test_tracked_changes_hidden_words_and_notes_are_told():
    xml = (
        b'<w:p><w:r><w:t xml:space="preserve">2. Press </w:t></w:r>'
        b'<w:del w:id="1" w:author="a"><w:r><w:delText>twice</w:delText></w:r></w:del>'
        b'<w:ins w:id="2" w:author="a"><w:r><w:t>once</w:t></w:r></w:ins>'
        b"<w:r><w:rPr><w:vanish/></w:rPr><w:t>unseen</w:t></w:r></w:p>"
    )
    data = put_into(docx_bytes(one_line), b"<w:sectPr", xml)
    document, _ = read_document("old.docx", data)
    assert [piece.text for piece in document.pieces] == ["1. Open the valve.", "2. Press once"]
    assert left(data) == {"left-deleted": "twice", "left-hidden": "unseen"}


def test_the_words_of_a_text_box_come_in_once_and_are_told():
    """A box is written twice, the second time for older programs (ECMA-376 Part 3, clause 9.3)."""
    box = b"<w:txbxContent><w:p><w:r><w:t>Mind the ring</w:t></w:r></w:p></w:txbxContent>"
    xml = (
        b'<w:p xmlns:mc="http://schemas.openxmlformats.org/markup-compatibility/2006" '
        b'xmlns:v="urn:schemas-microsoft-com:vml"><w:r><mc:AlternateContent>'
        b"<mc:Choice><w:drawing>" + box + b"</w:drawing></mc:Choice>"
        b"<mc:Fallback><w:pict><v:textbox>" + box + b"</v:textbox></w:pict></mc:Fallback>"
        b"</mc:AlternateContent></w:r></w:p>"
    )
    document, _ = read_document("old.docx", put_into(docx_bytes(one_line), b"<w:sectPr", xml))
    assert [piece.text for piece in document.pieces] == ["1. Open the valve.", "Mind the ring"]
    draft = draft_from_document(document, picture="x")
    assert "from-text-box" in {one.why.code for one in draft.guessed.unsure}


def test_macros_are_not_read_and_told():
    data = docx_bytes(one_line, change=lambda parts: parts.update({"word/vbaProject.bin": b"x"}))
    assert "left-macros" in left(data)


@pytest.mark.parametrize("name", ["old.docx", "old.pdf"])
def test_a_picture_of_twenty_thousand_pixels_a_side_is_left_out(name):
    """The rest of the document comes in, and this process does not grow by the picture."""
    code = textwrap.dedent(
        f"""
        import io, os, resource, sys
        sys.path.insert(0, {str(ROOT)!r})
        from tests.hostile.test_old_documents import huge
        from procedures.records.documents.reading import read_document
        data = huge({name!r})
        before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        document, _ = read_document({name!r}, data)
        grown = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before
        print(len(document.pieces), len(document.pictures), grown // 1024,
              *{{one.why.code for one in document.left_out}})
        """
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        timeout=300,
        check=True,
        cwd=ROOT,
    )
    pieces, pictures, grown, *codes = done.stdout.split()
    assert (pieces, pictures) == ("1", "0")
    assert "picture-not-taken" in codes
    # Unpacked, the picture would take 400 million pixels of at least one byte.
    assert int(grown) < 200


def huge(name):
    """A document with a picture of 20,000 × 20,000 pixels, which is only its head and one strip."""
    side = 20_000
    if name.endswith(".pdf"):
        image = (side, side, picture_bytes(form="JPEG"))
        return pdf_bytes([[(11, False, "1. Open the valve.")]], image=image)

    def fill(document):
        one_line(document)
        document.add_picture(io.BytesIO(picture_bytes((64, 64))))

    def change(parts):
        parts["word/media/image1.png"] = png_of(side)

    return docx_bytes(fill, change=change)


def png_of(side):
    """A whole PNG of one bit a pixel (PNG, third edition, clauses 5 and 11)."""

    def chunk(kind, body):
        whole = kind + body
        return len(body).to_bytes(4, "big") + whole + zlib.crc32(whole).to_bytes(4, "big")

    head = side.to_bytes(4, "big") * 2 + bytes([1, 0, 0, 0, 0])
    rows = zlib.compress(bytes(1 + side // 8) * side, 9)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def test_a_zip_that_lies_about_its_sizes_is_refused():
    """The part unpacks to more than it declares (APPNOTE.TXT, 4.4.9): nothing beyond is read."""
    kept = io.BytesIO()
    with zipfile.ZipFile(kept, "w", zipfile.ZIP_DEFLATED) as made:
        made.writestr(DOCUMENT, b" " * 5_000_000)
    data = kept.getvalue().replace((5_000_000).to_bytes(4, "little"), (50).to_bytes(4, "little"))
    assert refusal("old.docx", data) == "document-damaged"
