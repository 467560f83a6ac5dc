"""Do questions go to another program and come from one, and does each wait to be accepted?"""

import io
import json
import zipfile

import pytest
from django.core.management import CommandError, call_command

from procedures.writeup.parse import parse
from quizzes.marking.qti.package import pack
from quizzes.models import QuestionVersion
from tests.quizzes.test_qti import CHOICE, foreign


def out(tmp_path, capsys):
    file = tmp_path / "questions.zip"
    call_command("questions_out", str(file), "--format", "json")
    return file, json.loads(capsys.readouterr().out)


def bring(file, *more, by="sol"):
    said = io.StringIO()
    try:
        call_command("questions_in", str(file), "--by", by, "--format", "json", *more, stdout=said)
    except CommandError as error:
        return json.loads(said.getvalue() or "[]"), str(error)
    return json.loads(said.getvalue()), ""


def test_what_went_out_is_there_already_and_a_changed_one_waits(shop, tmp_path, capsys):
    file, lines = out(tmp_path, capsys)
    assert {one["became"] for one in lines} == {"came in"}
    told, error = bring(file)
    assert {one["became"] for one in told} == {"same"}
    assert not error
    before = QuestionVersion.objects.count()
    with zipfile.ZipFile(file) as packed:
        items = {
            name[6:-4]: packed.read(name).replace(b"</p>", b" Look closely.</p>", 1)
            for name in packed.namelist()
            if name.startswith("items/")
        }
    changed = tmp_path / "changed.zip"
    changed.write_bytes(pack(items, {}))
    assert {one["became"] for one in bring(changed, "--check")[0]} == {"came in"}
    assert QuestionVersion.objects.count() == before
    assert {one["became"] for one in bring(changed)[0]} == {"came in"}
    assert QuestionVersion.objects.count() == before + len(items)
    # asked as before: the changed ones have an author, and nobody else has accepted them
    assert not QuestionVersion.objects.in_use().filter(author__isnull=False).exists()


def test_an_item_of_another_program_needs_its_place_here(shop, tmp_path):
    file = tmp_path / "foreign.zip"
    file.write_bytes(pack({"one": foreign(*CHOICE)}, {}))
    (line,), error = bring(file)
    assert line["became"] == "left out"
    assert "--writeup" in line["said"][0]
    assert error
    step = parse(shop.revision.text).steps[0].id
    (line,), error = bring(file, "--writeup", shop.writeup.name, "--step", step)
    assert (line["became"], line["question"]) == ("came in", "i-1")
    version = QuestionVersion.objects.get(question__name="i-1")
    assert (version.author, version.steps) == (shop.senior, [step])


@pytest.mark.parametrize(("by", "said"), [("tilda", "Only a senior"), ("nobody", "nobody with")])
def test_only_those_who_write_questions_bring_them_in(shop, tmp_path, by, said):
    file = tmp_path / "foreign.zip"
    file.write_bytes(pack({"one": foreign(*CHOICE)}, {}))
    lines, error = bring(file, by=by)
    assert not lines
    assert said in error


def test_a_file_that_is_there_is_not_written_over(shop, tmp_path):
    file = tmp_path / "questions.zip"
    file.write_bytes(b"mine")
    with pytest.raises(CommandError, match="exists"):
        call_command("questions_out", str(file))
    assert file.read_bytes() == b"mine"
    with pytest.raises(CommandError, match="no write-up"):
        call_command("questions_out", str(tmp_path / "b.zip"), "--writeup", "nowhere")
