"""Is an uploaded picture made anew, and does nothing that is no plain picture come in?"""

import re
from io import BytesIO
from xml.etree import ElementTree

import pytest
from PIL import Image

from procedures.pictures import photos
from procedures.pictures.clean import clean
from procedures.pictures.made import BadPicture
from procedures.pictures.svg import LARGEST_SVG
from procedures.records.wording.say import say
from procedures.writeup.drawings import place_drawing
from tests.for_each import for_each
from tests.procedures.picture_files import huge_png, photo_bytes, svg_bytes, with_place, zip_bytes


def made(data):
    return clean(data, title="A title", description="What lies where")


def opened(picture):
    return Image.open(BytesIO(picture.data))


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_photo_comes_out_as_a_jpeg_of_its_size(kind):
    picture = made(photo_bytes(kind))
    image = opened(picture)
    assert (image.format, image.size) == ("JPEG", (60, 40))
    assert (picture.kind, picture.width, picture.height) == ("photo", 60, 40)
    assert image.getpixel((5, 20))[0] < 60 < 200 < image.getpixel((55, 20))[0]


def test_where_and_by_whom_a_photo_was_taken_is_gone():
    before = with_place()
    assert Image.open(BytesIO(before)).getexif().get_ifd(0x8825)
    after = opened(made(before))
    assert not after.getexif()
    assert {"comment", "exif", "icc_profile", "photoshop", "xmp"}.isdisjoint(after.info)
    assert b"customer" not in made(before).data


# EXIF 2.3, tag 274: which side of the scene the first column of pixels shows.
@pytest.mark.parametrize(
    ("orientation", "dark"), [(1, "left"), (3, "right"), (6, "top"), (8, "bottom")]
)
def test_a_photo_stands_upright(orientation, dark):
    image = opened(made(with_place(orientation)))
    width, height = image.size
    assert (width, height) == ((60, 40) if orientation in (1, 3) else (40, 60))
    spot = {
        "left": (5, height // 2),
        "right": (width - 5, height // 2),
        "top": (width // 2, 5),
        "bottom": (width // 2, height - 5),
    }[dark]
    assert image.getpixel(spot)[0] < 60


def test_a_large_photo_is_made_smaller():
    picture = made(photo_bytes(size=(4000, 3000)))
    assert (picture.width, picture.height) == (1600, 1200)


@pytest.mark.parametrize("mode", ["RGBA", "LA", "L", "P", "1", "CMYK", "I;16"])
def test_photos_of_every_kind_of_colour_come_in(mode):
    file = BytesIO()
    Image.new(mode, (30, 20)).save(file, "JPEG" if mode == "CMYK" else "PNG")
    assert opened(made(file.getvalue())).mode == "RGB"


def test_what_is_see_through_is_paper():
    file = BytesIO()
    Image.new("RGBA", (30, 20), (0, 0, 0, 0)).save(file, "PNG")
    assert min(opened(made(file.getvalue())).getpixel((9, 9))) > 250


def gif_bytes():
    file = BytesIO()
    Image.new("P", (9, 9)).save(file, "GIF")
    return file.getvalue()


NO_PHOTO = "This file is not a JPEG, PNG or WebP photo"


@for_each(
    [
        (b"", "empty"),
        (b"hello", NO_PHOTO),
        (zip_bytes(), NO_PHOTO),
        (gif_bytes(), NO_PHOTO),
        (b"%PDF-1.7\n", NO_PHOTO),
        (b"\0\0\0\x18ftypheic\0\0\0\0", "HEIC"),
        (huge_png(7_000, 8_000), "56 megapixels"),
        (huge_png(10_000, 10_000), "megapixels"),
        (huge_png(40_000, 40_000), "megapixels"),
        (huge_png(100, 100)[:-20], "damaged or cut off"),
        (photo_bytes(size=(800, 600), quality=95)[:3000], "damaged or cut off"),
        (photo_bytes(size=(3300, 2600))[:-4000], "damaged or cut off"),
        (photo_bytes("WEBP", size=(800, 600))[:60], "damaged or cut off|not a JPEG"),
        (b"x" * 12_000_001, "12 MB"),
        (b"<!doctype html><p>hello</p>", "cannot be read as an SVG|document type"),
        (b"<html><body>hello</body></html>", "not an SVG drawing"),
    ]
)
def test_what_is_no_photo_is_told_and_not_taken(data, said):
    with pytest.raises(BadPicture) as told:
        made(data)
    assert re.search(said, say(told.value.remark))
    assert say(told.value.remark).endswith(".")


def test_memory_is_not_asked_for_before_the_size_is_known(monkeypatch):
    monkeypatch.setattr(Image.Image, "load", lambda self: pytest.fail("decoded"))
    with pytest.raises(BadPicture) as told:
        photos.clean_photo(huge_png(7_000, 8_000))
    assert "megapixels" in say(told.value.remark)


@pytest.mark.parametrize("tail", [b"<script>alert(1)</script>", zip_bytes(), b"<?php echo 1 ?>"])
def test_what_hides_behind_a_photo_stays_outside(tail):
    """A file that is two things at once: the pixels come in, the rest does not."""
    picture = made(photo_bytes() + tail)
    assert tail not in picture.data
    assert picture.data == made(photo_bytes()).data


def drawn(inside, attributes='viewBox="0 0 10 10"'):
    return made(svg_bytes(inside, attributes)).data.decode()


def test_plain_shapes_and_words_come_in_as_ink():
    svg = drawn(
        '<g id="a" transform="rotate(3 1 1)"><path d="M0 0L9 9Z" fill="#f00" '
        'stroke="white"/><text x="1" y="2">P <tspan dx="1">0</tspan></text></g>'
    )
    assert svg.startswith(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 10" role="img" '
        'aria-labelledby="title desc"'
    )
    assert '<title id="title">A title</title><desc id="desc">What lies where</desc>' in svg
    assert (
        '<g id="d-a" transform="rotate(3 1 1)"><path d="M0 0L9 9Z" fill="currentColor" '
        'stroke="none" />' in svg
    )
    assert '<text x="1" y="2">P <tspan dx="1">0</tspan></text>' in svg


def test_styles_written_on_a_shape_count_as_its_look_and_own_references_hold():
    svg = drawn(
        '<defs><pattern id="p" width="4" height="4"><path d="M0 0V4" '
        'style="stroke:#123456;stroke-width:1px;-x-note:9"/></pattern></defs>'
        '<rect width="9" height="9" style="fill:url(#p); stroke-dasharray: 4 3"/>'
    )
    assert 'stroke="currentColor" stroke-width="1"' in svg
    assert 'fill="url(#d-p)" stroke-dasharray="4 3"' in svg
    assert "x-note" not in svg
    assert "url(#u-d-p)" in place_drawing(svg, uid="u")


def test_a_size_without_a_view_box_is_one():
    assert 'viewBox="0 0 30 20"' in drawn('<path d="M0 0"/>', 'width="30px" height="20"')


def test_notes_of_drawing_programs_are_left_out():
    svg = drawn(
        '<metadata><x/></metadata><note xmlns="urn:some-program"><grid/></note><!-- hi '
        '--><?go on?><title>Old</title><path d="M0 0" class="c" data-x="1"/>'
    )
    assert not re.search("metadata|note|grid|hi|go on|Old|class|data-x", svg)


BOMB = '<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>'
OUTSIDE = '<!DOCTYPE svg SYSTEM "http://elsewhere.test/x.dtd">'


# The ways in which an SVG acts or fetches: SVG 2, chapters 15 (scripting) and 16 (linking); XML
# 1.0, section 4 (entities).
@for_each(
    [
        (svg_bytes("<script>alert(1)</script>"), "script"),
        (svg_bytes('<SCRIPT xmlns="http://www.w3.org/1999/xhtml">alert(1)</SCRIPT>'), "SCRIPT"),
        (svg_bytes("<foreignObject><p/></foreignObject>"), "foreignObject"),
        (svg_bytes("<style>@import 'x'</style>"), "style"),
        (svg_bytes('<path d="M0 0" onclick="alert(1)"/>'), "onclick"),
        (svg_bytes('<path d="M0 0"/>', 'viewBox="0 0 9 9" onload="alert(1)"'), "onload"),
        (svg_bytes('<a xlink:href="javascript:alert(1)"><path d="M0 0"/></a>'), "“a”"),
        (svg_bytes('<path d="M0 0" xlink:href="#x"/>'), "a link"),
        (svg_bytes('<image href="https://elsewhere.test/a.png"/>'), "image"),
        (svg_bytes('<use href="#x"/>'), "use"),
        (svg_bytes('<animate attributeName="d" to="x"/>'), "animate"),
        (svg_bytes('<set attributeName="onclick" to="x"/>'), "set"),
        (svg_bytes('<path d="M0 0" fill="url(https://elsewhere.test/#a)"/>'), "outside itself"),
        (svg_bytes('<path d="M0 0" style="fill:URL(//elsewhere.test)"/>'), "outside itself"),
        (svg_bytes(r'<path d="M0 0" style="fill:u\rl(//elsewhere.test)"/>'), "outside itself"),
        (svg_bytes("<text>&b;</text>", before=BOMB), "document type"),
        (
            svg_bytes(
                "<text>&f;</text>",
                before='<!DOCTYPE svg [<!ENTITY f SYSTEM "file:///etc/hostname">]>',
            ),
            "document type",
        ),
        (svg_bytes(before=OUTSIDE), "document type"),
        (svg_bytes("<text>&f;</text>"), "cannot be read"),
        (svg_bytes("<g>" * 400 + "</g>" * 400), "cannot be read"),
        (svg_bytes('<path d="M0 0"/>' * 2100), "pieces"),
        (svg_bytes(f"<text>{'x' * LARGEST_SVG}</text>"), "200 kB"),
        (svg_bytes('<path d="M0 0"/>', ""), "how large"),
        (svg_bytes('<path d="M0 0"/>', 'viewBox="0 0 nan 5"'), "how large"),
        (svg_bytes('<path d="M0 0"/>', 'viewBox="0 0 -1 5"'), "how large"),
        (svg_bytes(""), "no shapes"),
        (svg_bytes()[:-8], "cannot be read"),
        (b'<svg viewBox="0 0 9 9"><path d="M0 0"/></svg>', "not an SVG drawing"),
    ]
)
def test_what_could_act_or_fetch_is_told_and_not_taken(data, said):
    with pytest.raises(BadPicture) as told:
        made(data)
    assert re.search(said, say(told.value.remark))


def test_a_drawing_in_another_encoding_is_read():
    data = (
        svg_bytes("<text>Ölbad</text>", before='<?xml version="1.0" encoding="utf-16"?>')
        .decode()
        .encode("utf-16")
    )
    assert "Ölbad" in made(data).data.decode()


def test_words_in_a_drawing_stay_words():
    picture = clean(
        svg_bytes("<text>&lt;script&gt;</text>"), title='"><script>', description="</desc><script>"
    )
    root = ElementTree.fromstring(picture.data)
    assert not [element for element in root.iter() if "script" in element.tag]
    assert "<script" not in picture.data.decode()
