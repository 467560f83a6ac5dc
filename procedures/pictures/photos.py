"""How does a photo come in: decoded as a whole, made smaller, and written anew without what the
camera put into it?
"""

import struct
import zlib
from io import BytesIO

from PIL import Image, ImageOps

from procedures.pictures.made import LONGEST_SIDE, PHOTO, BadPicture, Clean
from procedures.writeup.remarks import remark

FORMATS = ("JPEG", "PNG", "WEBP")
MOST_PIXELS = 40_000_000
# What a decoder holds at once besides: a progressive JPEG all its coefficients (two bytes each),
# WebP and animations several pictures of four bytes a pixel. With these bounds no photo takes more
# than 300 MB.
FEWER_PIXELS = {"progressive": 24_000_000, "WEBP": 16_000_000, "animated": 8_000_000}
QUALITY = 85
# Every way in which a decoder says that the bytes are not what they should be.
_BROKEN = (
    OSError,
    ValueError,
    SyntaxError,
    EOFError,
    OverflowError,
    TypeError,
    struct.error,
    zlib.error,
)
_HEIC = (b"ftypheic", b"ftypheix", b"ftypmif1", b"ftyphevc", b"ftypavif")


def clean_photo(data: bytes, longest: int = LONGEST_SIDE) -> Clean:
    """The photo as a JPEG of at most 1600 pixels (or `longest`) a side, turned upright, with no
    EXIF, place, comment or profile left in it.

    Raises BadPicture for what is no JPEG, PNG or WebP by its content, has more than 40 million
    pixels, or is damaged or cut off.
    """
    image = _opened(data)
    width, height = image.size
    most = _most_pixels(image)
    if width * height > most:
        raise BadPicture(
            remark("photo-too-large", size=width * height / 1e6, most=most // 1_000_000)
        )
    try:
        # a JPEG is decoded small, so that memory stays bounded
        image.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
        image.load()
        # Reduced first, so that no later step holds the whole photo a second time.
        upright = _on_paper(ImageOps.exif_transpose(_reduced(image)))
        upright.thumbnail((longest, longest))
    except _BROKEN as broken:
        raise BadPicture(remark("photo-damaged")) from broken
    # Pasted into a new picture, since Pillow carries comments and profiles along with an image.
    bare = Image.new("RGB", upright.size)
    bare.paste(upright)
    kept = BytesIO()
    bare.save(kept, "JPEG", quality=QUALITY, optimize=True)
    return Clean(PHOTO, kept.getvalue(), *bare.size)


def _opened(data: bytes) -> Image.Image:
    """The photo with its size known and not a pixel decoded yet."""
    try:
        return Image.open(BytesIO(data), formats=FORMATS)
    # Pillow's own limit on pixels, reached before ours can be asked.
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise BadPicture(remark("photo-far-too-large", most=MOST_PIXELS // 1_000_000)) from None
    except _BROKEN as broken:
        if data[4:12] in _HEIC:
            raise BadPicture(remark("photo-of-heic")) from broken
        raise BadPicture(remark("no-picture")) from broken


def _most_pixels(image: Image.Image) -> int:
    """How many pixels a photo of this kind may have."""
    kinds = {image.format or ""}
    kinds |= (
        {"progressive"} if image.info.get("progressive") or image.info.get("progression") else set()
    )
    kinds |= {"animated"} if getattr(image, "is_animated", False) else set()
    return min([MOST_PIXELS, *(most for kind, most in FEWER_PIXELS.items() if kind in kinds)])


def _reduced(image: Image.Image) -> Image.Image:
    """The photo made smaller by a whole factor before anything else is made of it, with what it
    says of how it was held.
    """
    factor = (
        min(image.size) // LONGEST_SIDE if image.mode in ("RGB", "RGBA", "L", "LA", "CMYK") else 0
    )
    if factor < 2:
        return image
    # reduce() drops what the camera noted, and so which way up it was held.
    smaller = image.reduce(factor)
    smaller.info, exif = dict(image.info), image.getexif()
    if exif:
        smaller.info["exif"] = exif.tobytes()
    return smaller


def _on_paper(image: Image.Image) -> Image.Image:
    """The photo in red, green and blue; what is see-through shows white paper."""
    # JPEG knows no see-through, and a library would make it black.
    if image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info:
        glass = image.convert("RGBA")
        paper = Image.new("RGB", glass.size, "white")
        paper.paste(glass, mask=glass.getchannel("A"))
        return paper
    return image.convert("RGB")
