"""Does the shop show its name and logo, and who may look at what of whom?"""

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image, PngImagePlugin

from tests.training.shop import TODAY, found, stood_down
from training.actions.rota import add_absence, set_shift
from training.models import PersonPhoto, ShopFront

SECRET = "taken at 48.2082 N, 16.3738 E"


def picture(size=(900, 300), form="PNG"):
    """A picture file with something noted in it that must not come along."""
    noted, kept = PngImagePlugin.PngInfo(), io.BytesIO()
    noted.add_text("Comment", SECRET)
    Image.new("RGBA", size, (20, 20, 20, 128)).save(kept, form, pnginfo=noted)
    return SimpleUploadedFile("shop.png", kept.getvalue())


def served(browser, path):
    answer = browser.get(path)
    assert answer.status_code == 200
    assert SECRET.encode() not in answer.content
    assert answer["X-Content-Type-Options"] == "nosniff"
    return answer, Image.open(io.BytesIO(answer.content))


@pytest.fixture
def switch_on(shop, as_):
    def switch_on(**more):
        return as_(shop.owner).post("/shop/", {"name": "Two Springs", **more})

    return switch_on


def test_name_and_logo_stand_at_the_sign_in_and_on_what_is_printed(shop, switch_on, client, as_):
    assert ">Benchright</span></a>" in client.get("/sign-in/").text.replace("\n", "")
    switch_on(logo=picture())
    signed = found(shop.mechanic, shop.level, shop.owner)
    logo = f"/logo/{ShopFront.objects.get().digest}.jpg"
    client.logout()
    page = client.get("/sign-in/").text.replace("\n", "")
    assert "Two Springs</a>" in page
    assert logo in page
    _, seen = served(client, logo)
    assert (seen.format, seen.size) == ("JPEG", (400, 133))  # made anew, at most 400 a side
    for path in ("/who-may/", f"/sign-offs/{signed.pk}/", "/wall/"):
        assert page_has(as_(shop.owner), path, logo), path
    switch_on(is_logo_removed="on")
    assert client.get(logo).status_code == 404


def page_has(browser, path, text):
    return browser.get(path).text.count(text)


@pytest.mark.parametrize(
    "data",
    [b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>', b"GIF89a", b""],
)
def test_what_is_no_photo_is_no_logo(switch_on, data):
    answer = switch_on(logo=SimpleUploadedFile("logo.png", data))
    assert answer.status_code == 200  # the form comes back and says why
    assert not ShopFront.objects.exclude(digest="").exists()


def test_nobody_but_the_owner_sets_it(shop, as_):
    assert as_(shop.senior).post("/shop/", {"name": "Mine"}).status_code == 403
    assert not ShopFront.objects.exists()


def test_mechanics_may_look_only_where_the_owner_switched_it_on(shop, switch_on, as_):
    found(shop.trainee, shop.level, shop.owner)
    found(shop.other_senior, shop.level, shop.owner)
    stood_down(person=shop.other_senior, by=shop.owner, reason="A ring came out.")
    assert as_(shop.mechanic).get("/today/").status_code == 403
    assert "/today/" not in as_(shop.mechanic).get("/").text
    switch_on(all_may_look="on")
    for path in ("/", "/write-ups/"):
        assert 'hx-get="/today/"' in as_(shop.mechanic).get(path).text
    page = as_(shop.mechanic).get("/today/").text.partition("<main")[2]
    blocks = {
        row.partition("</th>")[0]: row.partition('class="standing ')[2].partition('"')[0]
        for row in page.split('<th scope="row">')[1:]
    }
    assert blocks == {
        "Mika Mechanic": "no",
        "Sol Senior": "alone",
        "Tilda Trainee": "alone",
        "Wim Writer": "no",  # stopped, which is nobody else's business
    }
    for told in ("stopped", "A ring came out", "until", "not signed off"):
        assert told not in page
    piece = as_(shop.mechanic).get("/today/", headers={"HX-Request": "true"}).text
    assert "<html" not in piece
    assert "Sol Senior" in piece


def test_somebody_who_may_but_is_away_today_is_shown_last_and_as_away(shop, switch_on, as_):
    found(shop.senior, shop.level, shop.owner)
    days = ["mon", "tue", "wed", "thu", "fri"]
    for person in (shop.senior, shop.trainee):
        set_shift(person=person, workshop=shop.workshop, weekdays=days, first=TODAY, by=shop.owner)
    add_absence(person=shop.senior, first=TODAY, until=TODAY, by=shop.owner)
    switch_on(all_may_look="on")
    page = as_(shop.mechanic).get("/today/").text.partition("<main")[2]
    people = [row.partition("</th>")[0] for row in page.split('<th scope="row">')[1:]]
    assert people[-1] == "Sol Senior<small>away</small>"
    assert not any("away" in row for row in people[:-1])


def test_a_photo_is_ones_own_and_seen_by_few(shop, as_, client):
    own = as_(shop.mechanic)
    own.post("/photo/", {"photo": picture((1000, 1000))})
    address = "/people/mika/photo.jpg"
    answer, seen = served(own, address)
    assert (seen.size, answer["Cache-Control"]) == ((480, 480), "private, no-store")
    assert as_(shop.senior).get(address).status_code == 200
    assert address in as_(shop.senior).get("/line/mika/").text
    assert as_(shop.trainee).get(address).status_code == 404
    client.logout()
    assert client.get(address).status_code == 302
    assert as_(shop.senior).post("/people/mika/photo/remove/").status_code == 403
    assert PersonPhoto.objects.count() == 1
    as_(shop.owner).post("/people/mika/photo/remove/")
    assert not PersonPhoto.objects.exists()
    own = as_(shop.mechanic)
    own.post("/photo/", {"photo": picture()})
    own.post("/photo/", {"do": "remove"})
    assert not PersonPhoto.objects.exists()
