"""Does an old document come in by the page and by the command: shown first, kept whole, or not at
all?
"""

import io
import json
import os

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command

from procedures.models import Drawing, Revision, WriteUp
from procedures.records import incoming
from procedures.writeup.parse import parse
from tests.procedures.old_files import docx_bytes, picture_bytes
from tests.procedures.test_old_documents import fill_docx

PAGE = "/write-ups/old-text/"


@pytest.fixture(autouse=True)
def _pictures(settings, tmp_path):
    settings.PICTURES = tmp_path / "pictures"


@pytest.fixture
def writer(client, senior):
    client.force_login(senior)
    return client


def legs(fill=fill_docx):
    return SimpleUploadedFile("legs.docx", docx_bytes(fill))


def waiting(page):
    return page.context["form"]["waiting"].value()


def test_it_is_shown_line_by_line_and_then_kept_without_choosing_it_again(writer, senior, book):
    page = writer.post(PAGE, {"file": legs(), "look": "yes"})
    told = " ".join(page.text.split())
    assert "table 1" in told
    assert "is not one number or range with one unit of torque" in told
    assert "It stands in the head or foot of the pages." in told
    assert not WriteUp.objects.exists()
    assert not Drawing.objects.exists()
    form = page.context["form"]
    given = {name: form[name].value() for name in ("title", "name", "waiting")}
    writer.post(PAGE, given | {"start": "yes"})
    draft = Revision.objects.get()
    assert (draft.writeup.name, draft.author) == ("lower-leg-service", senior)
    picture = Drawing.objects.get()
    assert f"(drawing:{picture.name})" in draft.text
    assert len(parse(draft.text).steps) == 4  # and a torque
    assert incoming.find_incoming(senior, given["waiting"]) is None


def test_where_the_name_is_taken_nothing_is_kept(writer, senior, book):
    given = {"file": legs(), "name": "taken", "start": "yes"}
    writer.post(PAGE, given)
    again = writer.post(PAGE, given | {"file": legs()})
    assert "already exists" in again.text
    assert waiting(again)
    assert (Revision.objects.count(), Drawing.objects.count()) == (1, 1)


def test_a_second_document_of_that_name_gets_pictures_of_its_own(writer, book):
    writer.post(PAGE, {"file": legs(), "name": "taken", "start": "yes"})
    writer.post(PAGE, {"file": legs(), "name": "Taken", "start": "yes"})
    assert {row.name for row in Drawing.objects.all()} == {"taken-1", "taken-old2-1"}


def test_what_waits_is_for_one_person_and_for_an_hour(senior, second, settings):
    marks = [incoming.keep_incoming(senior, "a.docx", b"one\ntwo") for _ in range(4)]
    assert [bool(incoming.find_incoming(senior, mark)) for mark in marks] == [False, *[True] * 3]
    mark = marks[-1]
    assert incoming.find_incoming(senior, mark) == ("a.docx", b"one\ntwo")
    assert incoming.find_incoming(second, mark) is None
    assert incoming.find_incoming(senior, "../../benchright.sqlite3") is None
    (path,) = settings.PICTURES.parent.glob(f"incoming/*.{mark}")
    assert path.stat().st_mode & 0o077 == 0
    os.utime(path, (1, 1))
    assert incoming.find_incoming(senior, mark) is None
    incoming.keep_incoming(second, "b.docx", b"x")
    assert not path.exists()


def test_a_mark_of_nothing_is_told(writer):
    page = writer.post(PAGE, {"waiting": "x" * 32, "start": "yes"})
    assert "Your file is not here any more" in page.text
    assert not WriteUp.objects.exists()


def test_a_file_that_cannot_be_read_is_told_beside_its_field(writer):
    page = writer.post(PAGE, {"file": SimpleUploadedFile("x.pdf", b"%PDF-1.4"), "start": "yes"})
    assert "damaged or cut off" in page.text
    assert not WriteUp.objects.exists()


@pytest.fixture
def run(db, tmp_path, senior):
    """Run the command on a file; what it printed."""

    def run(*args, data=None, name="legs.docx"):
        path = tmp_path / name
        path.write_bytes(docx_bytes(fill_docx) if data is None else data)
        out = io.StringIO()
        call_command("old_text", str(path), "--by", senior.login, *args, stdout=out)
        return out.getvalue()

    return run


def test_the_command_says_the_same_to_people_and_to_programs(run):
    text = run("--check")
    assert "Checked only. The draft would be lower-leg-service." in text
    answer = json.loads(run("--check", "--format", "json"))
    assert not WriteUp.objects.exists()
    assert not Drawing.objects.exists()
    assert (answer["name"], answer["is_kept"], answer["title"]) == (
        "lower-leg-service",
        False,
        "Lower-leg service",
    )
    for line in answer["lines"]:
        assert f"{line['where']}: {line['kind_told']}: {line['text']}" in text
        assert all(one["text"] in text for one in line["unsure"])
    assert [one["why"]["code"] for one in answer["left_out"]] == ["left-head-or-foot"]
    kept = json.loads(run("--format", "json"))
    assert kept["is_kept"]
    titles = [step.title for step in parse(kept["draft"]).steps]
    assert [step.title for step in parse(Revision.objects.get().text).steps] == titles
    assert Drawing.objects.count() == 1


@pytest.mark.parametrize(
    ("args", "data", "name", "said"),
    [
        ((), b"", "x.txt", "empty"),
        ((), picture_bytes(), "x.png", "cannot read this kind"),
        (("--name", "no name"), None, "x.docx", "letters, digits and hyphens"),
    ],
)
def test_the_command_refuses_with_a_sentence(run, args, data, name, said):
    with pytest.raises(CommandError, match=said):
        run(*args, data=data, name=name)
    assert not WriteUp.objects.exists()
