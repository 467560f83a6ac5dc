"""Are pictures put into a step and taken out again without a word of the language?"""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from procedures.models import Drawing, Revision
from procedures.records.library import library
from procedures.writeup.parse import parse
from tests.procedures.browser import all_forms, sends
from tests.procedures.factories import RevisionFactory
from tests.procedures.picture_files import photo_bytes

pytestmark = pytest.mark.django_db

TEXT = """---
title: Demo fork
---

## Make it safe

### Let the air out {#air}
tool: pump

![The valve core from above](drawing:valve-core)

Press the valve.

![Gone](drawing:no-such-drawing)

### Wait {#wait}

Wait.
"""


@pytest.fixture
def page(client, senior, settings, tmp_path):
    settings.PICTURES = tmp_path
    client.force_login(senior)
    row = RevisionFactory(author=senior, writers=[senior.pk], text=TEXT)
    there = reverse("procedures:form-part", args=[row.writeup.name, row.number, "air"])

    def send(*of, **changed):
        response = of[0] if of else client.get(there)
        rows = [rows for rows in vars(response.context["rows"]).values() if hasattr(rows, "forms")]
        fields = dict(sends(*all_forms(response.context["form"], rows), **changed).lists())
        return client.post(there, fields)

    return send


def draft():
    return Revision.objects.get().text


def test_pictures_round_the_text_are_rows_and_leave_it_letter_by_letter(page):
    assert page().status_code == 302
    assert draft() == TEXT


def test_a_picture_is_picked_by_its_words_put_after_the_text_and_taken_out_again(page):
    found = page(words="u-cup pressure", find="yes", body="Typed.")
    shown = [one.name for one in found.context["pictures"].choice.offer.shown]
    assert "u-cup-open-to-pressure" in shown
    assert "top-cap" not in shown
    seal = "u-cup-open-to-pressure"
    added = page(found, picked=seal, picked_place="after", add="picture", body="Typed.")
    assert draft() == TEXT  # nothing is saved before it is said
    assert page(added, **{"pictures-2-shows": "The lip looks at the air"}).status_code == 302
    last = "![Gone](drawing:no-such-drawing)\n"
    more = f"{last}\n![The lip looks at the air](drawing:{seal})\n"
    assert draft() == TEXT.replace("Press the valve.", "Typed.").replace(last, more)
    page(page(remove="pictures-0"))
    step = parse(draft()).steps[0]
    assert (step.tools, "valve-core" in step.body) == (("pump",), False)


def test_what_is_only_picked_goes_in_with_save_and_enter_in_the_words_finds(page):
    found = page(enter="yes", words="padded", words_shown="")
    assert [one.name for one in found.context["pictures"].choice.offer.shown] == ["padded-box"]
    assert page(found, picked="padded-box", picked_place="before", enter="yes").status_code == 302
    title = library()["padded-box"].title
    assert f"(drawing:valve-core)\n\n![{title}](drawing:padded-box)\n\nPress" in draft()


def test_a_new_photo_is_kept_where_the_step_is_written(page):
    wrong = page(add="new-picture", **{"new-title": "Pliers", "new-description": "In the eyelets"})
    assert wrong.context["pictures"].new.errors["file"]
    assert not Drawing.objects.exists()
    photo = {"new-title": "Pliers [ours]", "new-description": "In", "new-place": "before"}
    checked = page(check="yes", **photo, **{"new-file": SimpleUploadedFile("a.jpg", photo_bytes())})
    assert checked.context["pictures"].new.errors["file"]
    assert not Drawing.objects.exists()
    page(**photo, **{"new-file": SimpleUploadedFile("a.jpg", photo_bytes())})
    name = Drawing.objects.get().name
    assert f"![Pliers ours](drawing:{name})\n\nPress the valve." in draft()


@pytest.mark.parametrize(
    "more",
    [
        {"picked": "none-of-this-name"},
        {"pictures-0-shows": ""},
        {"pictures-0-shows": "a [b]"},
        {"pictures-0-name": "A B"},
        {"pictures-TOTAL_FORMS": "40", "picked": "top-cap"},
        {"add": "picture"},
    ],
)
def test_what_is_wrong_with_a_picture_is_said_and_changes_nothing(page, more):
    assert page(**more).status_code == 200
    assert draft() == TEXT
