"""Can the site be put on a device like a program of its own?"""

import io

import pytest
from django.contrib.staticfiles import finders
from django.urls import reverse
from PIL import Image

from tests.training.test_look import tokens


@pytest.mark.django_db
def test_the_manifest_says_what_a_browser_needs_to_install_it(client):
    # W3C, Web Application Manifest: the members, and an icon's sizes as they are. A launcher asks
    # for 192 and 512 pixels (web.dev, "What does it take to be installable"; from memory).
    answer = client.get("/offline/manifest.webmanifest")
    assert answer["Content-Type"] == "application/manifest+json"
    said = answer.json()
    assert {"name", "short_name", "icons"} <= set(said)
    assert client.get(said["start_url"]).status_code == 302  # to the sign-in page
    assert said["display"] == "standalone"
    assert said["theme_color"] == tokens("light")["sheet"]
    found = set()
    for icon in said["icons"]:
        with open(finders.find(icon["src"].removeprefix("/static/")), "rb") as file:
            data = file.read()
        if icon["type"] == "image/svg+xml":
            assert b"<svg" in data
            continue
        picture = Image.open(io.BytesIO(data))
        assert f"{picture.width}x{picture.height}" == icon["sizes"]
        assert picture.format == "PNG"
        found.add((icon["sizes"], icon["purpose"]))
    assert found == {("192x192", "any"), ("512x512", "any"), ("512x512", "maskable")}


@pytest.mark.django_db
def test_each_page_has_the_theme_of_the_look_by_day_and_by_night(client):
    page = client.get(reverse("login")).text
    for scheme in ("light", "dark"):
        colour = tokens(scheme)["sheet"]
        assert f'media="(prefers-color-scheme: {scheme})" content="{colour}"' in page


def test_the_icon_that_is_cut_to_a_shape_keeps_what_matters_within_the_safe_zone():
    # W3C, Web Application Manifest, "Icon masks and safe zone": a circle of two fifths of the side
    picture = Image.open(finders.find("benchright/icon-maskable-512.png")).convert("RGB")
    ground = picture.getpixel((0, 0))
    drawn = [
        (x, y)
        for x in range(0, 512, 4)
        for y in range(0, 512, 4)
        if picture.getpixel((x, y)) != ground
    ]
    assert drawn
    assert max((x - 256) ** 2 + (y - 256) ** 2 for x, y in drawn) <= (0.4 * 512) ** 2
