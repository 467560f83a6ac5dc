"""Does a picture of the shop's own stand in its write-ups, for good, and does a refused one leave
nothing behind?
"""

from datetime import timedelta
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import DatabaseError, transaction
from django.urls import reverse

from procedures.actions.drawings import keep_drawing
from procedures.models import Drawing
from procedures.records import library, texts
from procedures.records.refused import Refused
from tests.procedures.factories import NOW, TEXT, RevisionFactory
from tests.procedures.picture_files import photo_bytes, svg_bytes, with_place, zip_bytes

pytestmark = pytest.mark.django_db


@pytest.fixture
def folder(settings, tmp_path):
    settings.PICTURES = tmp_path / "pictures"
    return settings.PICTURES


@pytest.fixture
def keep(folder, senior, book):
    def kept(name="pliers", data=None, **given):
        terms = {
            "title": "Ring pliers",
            "description": "Two tips.",
            "by": senior,
            "now": NOW,
        } | given
        return keep_drawing(name=name, data=data or photo_bytes(), **terms)

    return kept


def files(folder):
    return sorted(path.name for path in folder.iterdir()) if folder.exists() else []


def test_a_photo_is_kept_under_its_hash_and_recorded(keep, folder, book):
    row = keep()
    assert files(folder) == [row.digest]
    assert [kind for kind, _ in book] == ["picture"]
    assert (row.width, row.height) == (60, 40)


@pytest.mark.parametrize(
    "given",
    [
        {"data": zip_bytes()},
        {"data": svg_bytes("<script/>")},
        {"name": "Ring Pliers"},
        {"name": "../ring"},
        {"name": "back-up-ring-low-side"},
        {"title": " "},
        {"description": ""},
    ],
)
def test_what_is_refused_leaves_nothing(keep, folder, book, given):
    with pytest.raises(Refused):
        keep(**given)
    assert (files(folder), Drawing.objects.count(), book) == ([], 0, [])


def test_whoever_may_not_write_adds_nothing(keep, mechanic, folder):
    with pytest.raises(Refused, match="does not allow you to write"):
        keep(by=mechanic)
    assert files(folder) == []


def test_a_name_stands_for_one_picture_for_good(keep, folder):
    row = keep()
    with pytest.raises(Refused, match="another picture already"):
        keep(data=photo_bytes(size=(80, 40)), now=NOW + timedelta(days=1))
    for change in (
        lambda: Drawing.objects.update(digest="0" * 64),
        lambda: Drawing.objects.all().delete(),
    ):
        with pytest.raises(DatabaseError), transaction.atomic():
            change()
    assert files(folder) == [row.digest]


def test_a_disk_that_takes_nothing_is_told(keep, folder):
    folder.parent.joinpath("pictures").write_text("a file where the folder should be")
    with pytest.raises(Refused, match="disk"):
        keep()
    assert Drawing.objects.count() == 0


def test_a_write_up_shows_the_shops_own_drawing_and_tells_of_one_that_there_is_not(
    client, keep, senior
):
    keep("our-jig", svg_bytes('<path id="jig" d="M1 2L3 4"/>'))
    revision = RevisionFactory(
        text=TEXT.format(title="T") + "\n![Our jig](drawing:our-jig)\n\n![Gone](drawing:no-such)\n",
        author=senior,
    )
    client.force_login(senior, backend="training.access.sign_in.ShopBackend")
    page = client.get(
        reverse("procedures:revision", args=[revision.writeup.name, 1]), {"ring": "prong"}
    ).text
    assert 'd="M1 2L3 4"' in page
    assert '<figcaption class="caption">Our jig</figcaption>' in page
    assert '<span class="drawing">Gone</span>' in page
    (found,) = [
        one for one in texts.findings_of(revision.text, name="t") if one.code == "unknown-drawing"
    ]
    assert (found.level, found.about, found.step) == ("advice", "no-such", "guard-off")
    assert revision.text.split("\n")[found.line - 1] == "![Gone](drawing:no-such)"
    assert "There is no drawing “no-such”" in page


def test_a_file_changed_on_the_disk_is_not_shown(client, keep, folder, senior):
    drawing, photo = keep("our-jig", svg_bytes()), keep("pliers")
    for row in (drawing, photo):
        Path(folder / row.digest).write_bytes(svg_bytes("<script>alert(1)</script>"))
    client.force_login(senior, backend="training.access.sign_in.ShopBackend")
    assert client.get(reverse("procedures:photo", args=[photo.digest])).status_code == 404
    page = client.get(reverse("procedures:drawings"), {"words": "our-jig"}).text
    assert "gone or was changed" in page
    assert "alert(1)" not in page
    assert library.pictures(["our-jig"]) == {}


def test_a_photo_goes_only_to_whoever_is_signed_in_and_as_nothing_but_a_jpeg(client, keep, trainee):
    row = keep(data=with_place())
    address = reverse("procedures:photo", args=[row.digest])
    assert client.get(address).status_code == 302
    client.force_login(trainee, backend="training.access.sign_in.ShopBackend")
    answer = client.get(address)
    assert answer.headers["Content-Type"] == "image/jpeg"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"  # WHATWG Fetch, section 3.6
    assert "private" in answer.headers["Cache-Control"]
    assert "immutable" in answer.headers["Cache-Control"]
    assert answer.content.startswith(b"\xff\xd8\xff")
    for other in ("0" * 64, "etc-passwd", row.digest[:-1]):
        assert client.get(reverse("procedures:photo", args=[other])).status_code == 404


def test_the_address_of_a_photo_gives_out_no_drawing(client, keep, trainee):
    row = keep("our-jig", svg_bytes())
    client.force_login(trainee, backend="training.access.sign_in.ShopBackend")
    assert client.get(reverse("procedures:photo", args=[row.digest])).status_code == 404


def test_everybody_finds_a_drawing_by_its_words(client, keep, trainee):
    keep()
    client.force_login(trainee, backend="training.access.sign_in.ShopBackend")
    first = client.get(reverse("procedures:drawings"))
    pages = first.context["shown"].paginator.num_pages
    everything = "".join(
        client.get(reverse("procedures:drawings"), {"page": page}).text
        for page in range(1, pages + 1)
    )
    assert "drawing:pliers" in everything
    assert everything.count("<h2>") == len(library.library()) + 1
    found = client.get(reverse("procedures:drawings"), {"words": "TWIST mould"}).text
    assert "drawing:o-ring-twisted" in found
    assert "drawing:wiper-lip-in" not in found
    assert "Add a drawing" not in found
    assert (
        "No drawing has all these words."
        in client.get(reverse("procedures:drawings"), {"words": "helicopter"}).text
    )


def upload(client, data, name="photo.jpg", **given):
    file = SimpleUploadedFile(name, data, content_type="image/jpeg")
    words = {"title": "Ring pliers", "description": "Two tips."} | given
    return client.post(reverse("procedures:new-drawing"), {"file": file, **words})


def test_a_senior_uploads_a_photo_and_is_told_what_to_write(client, folder, book, senior):
    client.force_login(senior, backend="training.access.sign_in.ShopBackend")
    answer = upload(client, photo_bytes("PNG"), name="../../evil.svg")
    assert answer.url == reverse("procedures:drawings")
    assert "(drawing:ring-pliers)" in client.get(answer.url).text
    assert files(folder) == [Drawing.objects.get().digest]


@pytest.mark.parametrize(
    ("data", "said"),
    [(zip_bytes(), "This file is not a JPEG"), (svg_bytes("<script/>"), "script"), (b"", "empty")],
)
def test_a_bad_upload_comes_back_with_the_reason_and_the_words_typed(
    client, folder, senior, data, said
):
    client.force_login(senior, backend="training.access.sign_in.ShopBackend")
    answer = upload(client, data)
    assert answer.status_code == 200
    assert said in answer.text
    assert "Two tips." in answer.text
    assert files(folder) == []


def test_too_large_a_file_is_refused_before_it_is_read(client, folder, senior, monkeypatch):
    monkeypatch.setattr("procedures.views.forms.writeups.LARGEST_FILE", 100)
    client.force_login(senior, backend="training.access.sign_in.ShopBackend")
    assert "too large" in upload(client, photo_bytes()).text
    assert files(folder) == []


def test_a_page_with_many_pictures_asks_no_more_often(
    client, keep, trainee, django_assert_max_num_queries
):
    for number in range(6):
        keep(f"jig-{number}", svg_bytes(f'<path d="M{number} 0"/>'))
    client.force_login(trainee, backend="training.access.sign_in.ShopBackend")
    counts = []
    for count in (1, 6):
        shown = "".join(f"\n![x](drawing:jig-{number})\n" for number in range(count))
        revision = RevisionFactory(text=TEXT.format(title="T") + shown, released=True)
        with django_assert_max_num_queries(40) as asked:
            client.get(
                reverse("procedures:revision", args=[revision.writeup.name, 1]), {"ring": "prong"}
            )
        counts.append(len(asked))
    assert counts[0] == counts[1]


def test_every_drawing_that_the_demo_write_ups_name_is_there():
    root = Path(__file__).parents[2] / "fixtures" / "writeups"
    for path in root.glob("*.md"):
        text = path.read_text(encoding="utf-8")
        assert list(library.find_unknown_drawings(text, texts.parse_once(text))) == [], path.name
