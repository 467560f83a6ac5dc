"""Is every page light, and does it fetch nothing from elsewhere?"""

import gzip
import re
from functools import cache
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from django.contrib.staticfiles import finders

from tests.put_in import put_in
from tests.training.shop import NOW, busy_shop
from tests.walks import pages_of

MOST = 60_000  # bytes of style and script that a page brings along, compressed
FETCHED = re.compile(
    r"""<(?:link|script|img|source|iframe|use|image|form)\b[^>]*?\b(?:src|href|action|srcset|xlink:href)=["']([^"']*)"""
)
IN_STYLE = re.compile(r"url\(|@import")


@pytest.fixture
def pages(db, time_machine):
    """Every page that an owner, a senior or a trainee is shown, by what it is called and who
    looks.
    """
    time_machine.move_to(NOW, tick=False)
    shop = put_in(busy_shop)
    return {
        f"{trade}, {page.route.name} {page.route.args}": page.text
        for trade in ("trainee", "senior", "owner")
        for page in pages_of(shop, trade)
        if page.headers["Content-Type"].startswith("text/html")
    }


@cache
def on_disk(path):
    return Path(finders.find(path.removeprefix("/static/")))


def static_files(page):
    """The static files that a page names, as paths on the disk."""
    named = {urlsplit(address).path for address in FETCHED.findall(page)}
    return {on_disk(path) for path in named if path.startswith("/static/")}


@cache
def compressed(path):
    return len(gzip.compress(path.read_bytes()))


def weight(files):
    return sum(compressed(path) for path in files if path.suffix in {".css", ".js"})


def test_every_page_brings_at_most_sixty_kilobytes_of_style_and_script(pages):
    weights = {name: weight(static_files(page)) for name, page in pages.items()}
    assert min(weights.values()) > 0
    assert {name: heavy for name, heavy in weights.items() if heavy > MOST} == {}


def test_no_page_fetches_from_elsewhere(pages):
    elsewhere = {
        address
        for page in pages.values()
        for address in FETCHED.findall(page)
        if urlsplit(address).netloc
    }
    assert elsewhere == set()


def test_no_style_fetches_anything(pages):
    styles = {
        path for page in pages.values() for path in static_files(page) if path.suffix == ".css"
    }
    assert styles
    assert [path.name for path in styles if IN_STYLE.search(path.read_text(encoding="utf-8"))] == []
