"""Do old procedures of a folder come in as drafts that nobody works by, and is every guess told by
its line?
"""

import io

import pytest
from django.core.management import CommandError, call_command

from procedures.models import Revision
from procedures.writeup.parse import parse

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


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("wash-the-fork.md", OLD.encode()),
        ("x.txt", b"\xff\xfe"),
        ("y.md", b"a\0"),
        ("…….txt", b"1. One"),
        ("z.txt", b"x" * 400_001),
    ],
)
def test_a_file_that_cannot_come_in_keeps_everything_out(folder, name, content):
    (folder / "old" / name).write_bytes(content)
    done, said = bring(folder)
    assert not done
    assert name in said or "wash the fork.txt" in said
    assert not Revision.objects.exists()
