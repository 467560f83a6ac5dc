"""Is what was seen kept once, with its photos, and read afterwards by those who may?"""

import re
from datetime import timedelta
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from procedures.actions.writeups import bring_revision
from procedures.records.refused import Refused
from tests.procedures.picture_files import photo_bytes, with_place
from tests.training.factories import PASSWORD
from tests.training.shop import NOW, TODAY, observe, proof, shown_again
from training.actions.observing import MOST_PHOTOS, sign_shown_again
from training.models import BookEntry, Job, Observation, ShownAgain, Void
from training.records.seen_again import shown_again_sheet
from training.reports.waiting import observations_to_show_again

ADDRESS = "/who-may/air-spring/tilda/observe/?v-ring=prong"
UNAIDED = {"seen-let-air-out": "unaided", "revision": "1"}


def photo(name="bench.jpg", data=None):
    return SimpleUploadedFile(name, data or photo_bytes(), content_type="image/jpeg")


def hidden(page, name):
    return re.search(rf'name="{name}" value="([^"]*)"', page.text)[1]


def test_a_form_sent_twice_is_one_observation_in_the_table_and_in_the_book(shop, as_):
    senior = as_(shop.senior)
    mark = hidden(senior.get(ADDRESS), "mark")
    before = BookEntry.objects.count()
    for _ in range(2):
        assert senior.post(ADDRESS, UNAIDED | {"mark": mark}).status_code == 302
    assert (Observation.objects.count(), BookEntry.objects.count()) == (1, before + 1)
    senior.post(ADDRESS, UNAIDED | {"mark": hidden(senior.get(ADDRESS), "mark")})
    assert Observation.objects.count() == 2  # a form that was opened afresh is another observation


def test_a_sheet_of_an_older_revision_is_not_recorded_as_one_of_the_new(shop, as_):
    """Else whoever watched the old way would have seen the change that is to be shown again."""
    senior, note = as_(shop.senior), {"note-let-air-out": "Held the valve down."}
    mark = hidden(senior.get(ADDRESS), "mark")
    new = bring_revision(
        writeup=shop.writeup,
        number=2,
        text=shop.revision.text.replace("Press the valve core", "Press the valve core slowly"),
        asks="show again",
        released_on=TODAY,
        now=NOW,
    )
    page = senior.post(ADDRESS, UNAIDED | note | {"mark": mark})
    assert "Revision 2 was released while this page was open." in page.text
    assert "Held the valve down." in page.text
    assert "checked" not in page.text  # each line is looked at again
    with pytest.raises(Refused, match="Revision 2 was released"):
        observe(shop, shop.trainee)  # as by a page that was checked just before the release
    assert not Observation.objects.exists()
    again = UNAIDED | {"mark": mark, "revision": hidden(page, "revision")}
    assert senior.post(ADDRESS, again).status_code == 302
    assert senior.post(ADDRESS, UNAIDED | {"mark": mark}).status_code == 302  # the one that is kept
    assert Observation.objects.get().revision == new


def test_the_mark_stays_through_a_refusal(shop, as_):
    page = as_(shop.senior).post(ADDRESS, {"mark": "a1b2"})
    assert hidden(page, "mark") == "a1b2"


def test_a_job_sent_twice_by_the_plain_form_is_one_job(shop, as_):
    mechanic = as_(shop.trainee)
    page = mechanic.get("/levels/air-spring/job/")
    sent = {
        "on": TODAY.isoformat(),
        "watched_by": "sol",
        "v-ring": "prong",
        "mark": hidden(page, "mark"),
    }
    before = Job.objects.count()
    for _ in range(2):
        assert mechanic.post("/levels/air-spring/job/", sent).status_code == 302
    assert Job.objects.count() == before + 1


def test_photos_are_kept_without_place_or_camera_and_shown_to_those_who_may(shop, as_):
    page = as_(shop.senior).post(
        ADDRESS,
        UNAIDED
        | {
            "photos": [
                photo(data=with_place()),
                photo("two.png", photo_bytes("PNG", size=(80, 50))),
            ]
        },
        follow=True,
    )
    row = Observation.objects.get()
    assert f"/observations/{row.pk}/" in page.text
    address = f"/observations/{row.pk}/photos/1.jpg"
    for person, status in ((shop.trainee, 200), (shop.mechanic, 404), (shop.owner, 200)):
        assert as_(person).get(address).status_code == status
    image = Image.open(BytesIO(as_(shop.trainee).get(address).content))
    assert image.format == "JPEG"
    assert not image.getexif()
    assert as_(shop.trainee).get(f"/observations/{row.pk}/photos/3.jpg").status_code == 404


def test_a_photo_stays_with_the_form_when_a_line_was_left_open(shop, as_):
    senior = as_(shop.senior)
    page = senior.post(ADDRESS, {"photos": photo()})
    assert "Kept so far: 1." in page.text
    senior.post(
        ADDRESS,
        UNAIDED
        | {
            "photos-kept": hidden(page, "photos-kept"),
            "photos": photo("two.jpg", photo_bytes(size=(90, 40))),
        },
    )
    assert len(Observation.objects.get().photos) == 2


def test_a_file_that_is_no_photo_is_told_by_name_and_nothing_is_lost(shop, as_):
    page = as_(shop.senior).post(
        ADDRESS,
        UNAIDED | {"note": "Steady.", "photos": [photo(), photo("notes.txt", b"not a photo")]},
    )
    assert "notes.txt: " in page.text
    assert "Kept so far: 1." in page.text
    assert "Steady.</textarea>" in page.text
    assert not Observation.objects.exists()


def test_photos_of_another_person_or_too_many_are_refused(shop, as_):
    page = as_(shop.senior).post(ADDRESS, {"photos": photo()})
    stolen = hidden(page, "photos-kept") + "x"
    assert (
        "The photos of this form are lost"
        in as_(shop.senior).post(ADDRESS, UNAIDED | {"photos-kept": stolen}).text
    )
    many = [photo(data=photo_bytes(size=(60 + number, 40))) for number in range(MOST_PHOTOS + 1)]
    assert "at most 8 photos" in as_(shop.senior).post(ADDRESS, UNAIDED | {"photos": many}).text
    assert not Observation.objects.exists()


def test_the_page_says_what_was_seen_line_by_line(shop, as_):
    row = observe(shop, shop.trainee, "not right", note="Rushed.", tools=["TW-2"])
    page = as_(shop.trainee).get(f"/observations/{row.pk}/").text
    for text in (
        "Tilda",
        "Let the air out",
        "(critical)",
        "not right",
        "Sol Senior",
        "Note: Rushed.",
        "TW-2",
    ):
        assert text in page
    assert "Sign that it was shown again" not in page
    assert "Sign that it was shown again" in as_(shop.senior).get(f"/observations/{row.pk}/").text
    assert as_(shop.mechanic).get(f"/observations/{row.pk}/").status_code == 404


def test_a_photo_that_is_gone_from_the_disk_is_said_so(shop, as_):
    row = observe(shop, shop.trainee, photos=["0" * 64])
    assert "Photo 1 is missing" in as_(shop.trainee).get(f"/observations/{row.pk}/").text


def test_what_was_not_right_is_signed_as_shown_again_once(shop, as_):
    row = observe(shop, shop.trainee, "not right")
    address = f"/observations/{row.pk}/shown-again/"
    senior = as_(shop.senior)
    shown = hidden(senior.get(address), "shown")
    wrong = senior.post(address, {"steps": "let-air-out", "password": "guess", "shown": shown})
    assert "This is not your password" in wrong.text
    left_out = senior.post(address, {"password": PASSWORD, "shown": shown})
    assert "Tick each step" in left_out.text
    assert not ShownAgain.objects.exists()
    page = senior.post(
        address, {"steps": "let-air-out", "password": PASSWORD, "shown": shown}, follow=True
    )
    assert "Signed by Sol Senior on 25 Nov 2026." in page.text
    assert BookEntry.objects.filter(kind="shown again").count() == 1
    again = senior.post(
        address, {"steps": "let-air-out", "password": PASSWORD, "shown": shown}, follow=True
    )
    assert "This was saved already. Nothing was saved twice." in again.text
    assert ShownAgain.objects.count() == 1


def test_it_changes_no_standing_and_no_observation(shop):
    row = observe(shop, shop.trainee, "not right")
    shown_again(shop, row)
    row.refresh_from_db()
    assert row.right is False


@pytest.mark.parametrize(
    ("by", "said"),
    [
        ("trainee", "You cannot sign for yourself"),
        ("mechanic", "Only a senior mechanic or the owner can do this"),
    ],
)
def test_only_a_senior_signs_that_somebody_else_was_shown(shop, by, said):
    row = observe(shop, shop.trainee, "not right")
    with pytest.raises(Refused, match=said):
        shown_again(shop, row, by=getattr(shop, by))


def test_a_step_that_was_not_ticked_and_a_changed_sheet_are_refused(shop):
    row = observe(shop, shop.trainee, "not right")
    sheet = shown_again_sheet(row, signer=shop.senior, on=TODAY)
    common = {"observation": row, "by": shop.senior, "on": TODAY, "now": NOW}
    with pytest.raises(Refused, match="then tick it"):
        sign_shown_again(
            steps=[], shown=sheet.digest, proof=proof(shop.senior, sheet.digest), **common
        )
    with pytest.raises(Refused, match="has changed"):
        sign_shown_again(
            steps=["let-air-out"], shown="0" * 64, proof=proof(shop.senior, "0" * 64), **common
        )


def test_one_that_was_right_has_nothing_to_show_again(shop, as_):
    row = observe(shop, shop.trainee)
    assert as_(shop.senior).get(f"/observations/{row.pk}/shown-again/").status_code == 404


def test_what_was_seen_right_since_waits_for_nobody_until_that_is_void(shop):
    row = observe(shop, shop.trainee, "not right")
    assert list(observations_to_show_again(shop.senior, TODAY)) == [row]
    later = {"happened_on": TODAY + timedelta(days=1), "recorded_at": NOW + timedelta(days=1)}
    Observation(
        person=shop.trainee, level=shop.level, observer=shop.other_senior, right=True, **later
    ).save()
    assert list(observations_to_show_again(shop.senior, TODAY)) == []
    void = {
        "kind": "observation",
        "person": shop.trainee,
        "about": "air-spring",
        "by": shop.owner,
        "reason": "Somebody else.",
    }
    Void(happened_on=later["happened_on"], recorded_at=NOW + timedelta(days=2), **void).save()
    assert list(observations_to_show_again(shop.senior, TODAY)) == [row]


def test_one_that_came_in_without_its_sheet_can_be_signed_too(shop, as_):
    bare = Observation(
        person=shop.trainee,
        level=shop.level,
        observer=shop.senior,
        right=False,
        happened_on=TODAY,
        recorded_at=NOW,
    )
    bare.save()
    address = f"/observations/{bare.pk}/shown-again/"
    page = as_(shop.senior).get(address)
    assert "without a check sheet" in page.text
    assert (
        as_(shop.senior)
        .post(address, {"password": PASSWORD, "shown": hidden(page, "shown")})
        .status_code
        == 302
    )


def test_what_was_not_right_waits_for_seniors_until_it_is_shown_again(shop, as_):
    row = observe(shop, shop.trainee, "not right")
    link = f"/observations/{row.pk}/"
    assert link in as_(shop.senior).get("/").text
    assert link in as_(shop.owner).get("/").text  # an owner may show it again too
    assert link not in as_(shop.mechanic).get("/").text
    shown_again(shop, row)
    assert link not in as_(shop.senior).get("/").text
