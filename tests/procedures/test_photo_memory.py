"""Does no photo, however it is made, take more than 300 MB of memory to come in?"""

import subprocess
import sys
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image

from procedures.pictures.made import BadPicture
from procedures.pictures.photos import FEWER_PIXELS, MOST_PIXELS, clean_photo
from procedures.records.wording.say import say

pytestmark = pytest.mark.any_database  # files only, or a place of its own on SQLite

ROOT = Path(__file__).parents[2]
MOST = 300  # MB, beyond what the program takes before the photo

MEASURED = """
import resource, sys
from procedures.pictures.made import BadPicture
from procedures.pictures.photos import clean_photo
from tests.procedures.picture_files import photo_bytes
for kind in ("JPEG", "PNG", "WEBP"):
    clean_photo(photo_bytes(kind))  # every decoder is loaded
data = sys.stdin.buffer.read()
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
try:
    clean_photo(data)
    said = "kept"
except BadPicture as bad:
    said = "refused"
print(said, (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) // 1024)
"""


def photo(kind, pixels, mode="RGB", **more):
    image, file = Image.new(mode, (8_000, pixels // 8_000)), BytesIO()
    image.save(file, kind, **more)
    return file.getvalue()


def frames(kind, pixels):
    file = BytesIO()
    pictures = [
        Image.new("RGBA", (4_000, pixels // 4_000), colour) for colour in ("black", "white", "grey")
    ]
    pictures[0].save(
        file,
        kind,
        save_all=True,
        append_images=pictures[1:],
        **({"lossless": False} if kind == "WEBP" else {}),
    )
    return file.getvalue()


PHOTOS = {
    "JPEG": lambda: photo("JPEG", MOST_PIXELS, subsampling=0),
    "progressive JPEG": lambda: photo(
        "JPEG", FEWER_PIXELS["progressive"], progressive=True, subsampling=0
    ),
    "progressive JPEG in four inks": lambda: photo(
        "JPEG", FEWER_PIXELS["progressive"], "CMYK", progressive=True
    ),
    "PNG with glass": lambda: photo("PNG", MOST_PIXELS, "RGBA", compress_level=1),
    "PNG with a palette": lambda: photo("PNG", MOST_PIXELS, "P", transparency=0, compress_level=1),
    "WebP": lambda: photo("WEBP", FEWER_PIXELS["WEBP"], "RGBA", method=0),
    "moving WebP": lambda: frames("WEBP", FEWER_PIXELS["animated"]),
    "moving PNG": lambda: frames("PNG", FEWER_PIXELS["animated"]),
}


@pytest.mark.skipif(sys.platform != "linux", reason="memory is measured as Linux counts it")
@pytest.mark.parametrize("name", PHOTOS)
def test_a_photo_comes_in_within_its_memory(name):
    done = subprocess.run(
        [sys.executable, "-c", MEASURED],
        input=PHOTOS[name](),
        cwd=ROOT,
        capture_output=True,
        timeout=300,
        check=True,
    )
    said, taken = done.stdout.split()
    assert (said, int(taken) <= MOST) == (b"kept", True), f"{name}: {taken} MB"


@pytest.mark.parametrize(
    ("kind", "more"),
    [
        ("progressive", {"kind": "JPEG", "progressive": True}),
        ("WEBP", {"kind": "WEBP", "method": 0}),
    ],
)
def test_a_photo_that_would_take_more_is_refused_before_it_is_decoded(kind, more, monkeypatch):
    data = photo(more.pop("kind"), FEWER_PIXELS[kind] + 80_000, **more)
    monkeypatch.setattr(Image.Image, "load", lambda self: pytest.fail("decoded"))
    with pytest.raises(BadPicture) as told:
        clean_photo(data)
    assert "save it as a plain JPEG" in say(told.value.remark)
