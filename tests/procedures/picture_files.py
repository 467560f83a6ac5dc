"""Which picture files do tests need, good and bad? All are made here, by a general-purpose library
or byte by byte.
"""

import struct
import zipfile
import zlib
from io import BytesIO

from PIL import Image

GPS, ORIENTATION, MAKE, COMMENT = 0x8825, 0x0112, 0x010F, 0x9286  # tags of EXIF 2.3


def photo_bytes(kind="JPEG", size=(60, 40), mode="RGB", exif=None, **more):
    """A photo whose left half is dark and whose right half is light."""
    image = Image.new(mode, size, "white")
    image.paste(Image.new(mode, (size[0] // 2, size[1]), "black"), (0, 0))
    file = BytesIO()
    image.save(file, kind, **({"exif": exif} if exif is not None else {}), **more)
    return file.getvalue()


def with_place(orientation=1):
    """A JPEG that knows where and with what it was taken, and how the camera was held."""
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    exif[MAKE] = "A camera of a customer"
    exif.get_ifd(GPS).update({1: "N", 2: (48.0, 12.0, 30.0), 3: "E", 4: (16.0, 22.0, 0.0)})
    return photo_bytes(exif=exif, comment=b"taken at the customer's home")


def huge_png(width, height):
    """A PNG that claims this size and holds next to nothing (W3C PNG, chunks IHDR, IDAT, IEND)."""

    def chunk(kind, body):
        return (
            struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
        )

    header = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", header)
        + chunk(b"IDAT", zlib.compress(b"\0" * 1000))
        + chunk(b"IEND", b"")
    )


def zip_bytes():
    file = BytesIO()
    with zipfile.ZipFile(file, "w") as archive:
        archive.writestr("a.txt", "hello")
    return file.getvalue()


def svg_bytes(inside='<path d="M1 1L9 9"/>', attributes='viewBox="0 0 10 10"', before=""):
    return (
        f'{before}<svg xmlns="http://www.w3.org/2000/svg" '
        f'xmlns:xlink="http://www.w3.org/1999/xlink" {attributes}>{inside}</svg>'
    ).encode()
