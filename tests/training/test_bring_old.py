"""Do old procedures of a folder come in as drafts that nobody works by, and is every guess told by
its line?
"""

import io

import pytest
from django.core.management import CommandError, call_command
from odf.text import P

from procedures.models import Drawing, Revision
from procedures.writeup.parse import parse
from tests.procedures.old_files import docx_bytes, odt_bytes, pdf_bytes, picture_bytes
from training.models import BookEntry

pytestmark = pytest.mark.django_db
OLD = (
    "Wash the fork\n\nSome words first.\n\n1. Rinse it.\n\nWARNING: Soap is slippery.\n\n2. Dry "
    "it.\n"
)


def bring(folder, **more):
    out, err = io.StringIO(), io.StringIO()
    try:
        call_command("bring", str(folder), stdout=out, stderr=err, **more)
    except CommandError:
        return False, err.getvalue()
    return True, out.getvalue()


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "old").mkdir()
    (tmp_path / "old" / "wash the fork.txt").write_text(OLD, encoding="utf-8")
    return tmp_path


def test_an_old_text_becomes_a_draft(folder):
    done, said = bring(folder)
    assert done, said
    draft = Revision.objects.get()
    assert (draft.writeup.name, draft.writeup.title) == ("wash-the-fork", "Wash the fork")
    assert (draft.released_on, draft.author, draft.writers) == (None, None, [])
    assert [step.title for step in parse(draft.text).steps] == ["Rinse it", "Dry it"]
    assert "wash the fork.txt, line 3: It belongs to no step" in said
    assert "wash the fork.txt, line 7: This caution was put into the step after it" in said
    assert "1 draft from an old text" in said


def test_a_check_writes_nothing(folder):
    assert bring(folder, check=True)[0]
    assert not Revision.objects.exists()


def filled(document):
    document.add_heading("Clean the damper")
    document.add_paragraph("Drain it.", style="List Number")
    document.add_picture(io.BytesIO(picture_bytes()))
    document.sections[0].footer.paragraphs[0].text = "Page 1 of 2"


def test_documents_come_in_as_on_the_page_with_their_pictures_and_what_was_left_out(
    folder, settings, senior
):
    settings.PICTURES = folder / "pictures"
    old = folder / "old"
    (old / "damper.DOCX").write_bytes(docx_bytes(filled))
    (old / "rinse.odt").write_bytes(odt_bytes(lambda odt: odt.text.addElement(P(text="Rinse it."))))
    (old / "dry.pdf").write_bytes(pdf_bytes([[(12, False, "1. Dry it.")]]))
    (old / "grease.txt").write_bytes("1. Grease the Öl seal.".encode("cp1252"))
    (old / "photo.jpg").write_bytes(b"x")
    done, said = bring(folder)
    assert not done
    assert "damper.DOCX: It has pictures. Say with --by LOGIN" in said
    assert not bring(folder, by="nobody")[0]
    assert not Revision.objects.exists()
    assert not Drawing.objects.exists()
    assert bring(folder, by=senior.login, check=True)[0]
    assert not settings.PICTURES.exists()  # checking leaves no file either
    done, said = bring(folder, by=senior.login)
    assert done, said
    texts = dict(Revision.objects.values_list("writeup__name", "text"))
    assert sorted(texts) == ["damper", "dry", "grease", "rinse", "wash-the-fork"]
    drawing = Drawing.objects.get()
    assert drawing.by == senior
    assert f"(drawing:{drawing.name})" in texts["damper"]
    assert "Öl" in texts["grease"]
    for told in (
        "left out: “Page 1 of 2” It stands in the head or foot",
        "grease.txt: The text is written in Windows-1252",
        "old/photo.jpg is no file of a delivery",
    ):
        assert told in said
    assert [entry.kind for entry in BookEntry.objects.all()] == ["picture"]


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("wash-the-fork.md", OLD.encode()),
        ("x.txt", b"\xff\xfe"),
        ("y.md", b"a\0"),
        ("…….txt", b"1. One"),
        ("z.txt", b"x" * 400_001),
        ("torn.docx", b"PK\x03\x04 torn"),
        ("locked.odt", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"),
        ("no.pdf", b"%PDF-1.7 and nothing"),
    ],
)
def test_a_file_that_cannot_come_in_keeps_everything_out(folder, name, content):
    (folder / "old" / name).write_bytes(content)
    done, said = bring(folder)
    assert not done
    assert name in said or "wash the fork.txt" in said
    assert not Revision.objects.exists()
