"""Old procedures as files, made by libraries that the program does not read them with.

Documents of word processors come from python-docx and odfpy; what these cannot write (text boxes,
tracked changes) is put into their XML as ECMA-376 Part 1 (17.13.5 for changes) and ISO/IEC 29500-4
(text boxes of VML) say. PDFs are written here by hand after ISO 32000-1 (7.3 to 7.5, 9.2 to 9.4).
"""

import io
import zipfile

from PIL import Image

SIGNS = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"


def picture_bytes(size=(200, 100), form="PNG", colour="red"):
    kept = io.BytesIO()
    Image.new("RGB", size, colour).save(kept, form)
    return kept.getvalue()


def docx_bytes(fill, *, change=None):
    """A .docx that `fill` wrote into; `change` may rewrite the parts, a dict by name."""
    from docx import Document

    document = Document()
    fill(document)
    kept = io.BytesIO()
    document.save(kept)
    return rewritten(kept.getvalue(), change) if change else kept.getvalue()


def odt_bytes(fill, *, change=None):
    """An .odt that `fill` wrote into."""
    from odf.opendocument import OpenDocumentText

    document = OpenDocumentText()
    fill(document)
    kept = io.BytesIO()
    document.write(kept)
    return rewritten(kept.getvalue(), change) if change else kept.getvalue()


def rewritten(data, change):
    """The zip file with its parts changed."""
    with zipfile.ZipFile(io.BytesIO(data)) as before:
        parts = {name: before.read(name) for name in before.namelist()}
    change(parts)
    kept = io.BytesIO()
    with zipfile.ZipFile(kept, "w", zipfile.ZIP_DEFLATED) as after:
        for name, part in parts.items():
            after.writestr(name, part)
    return kept.getvalue()


def pdf_bytes(pages, *, image=None, trailer=b""):
    """A PDF: each page is a list of (size, bold, text), set from the top down; a text of None is a
    gap. `image` is (width, height, JPEG bytes), shown on the first page.
    """
    objects = []  # the bodies, numbered from 1

    def put(body):
        objects.append(body if isinstance(body, bytes) else body.encode("latin-1"))
        return len(objects)

    fonts = [
        put(f"<< /Type /Font /Subtype /Type1 /BaseFont /{name} /Encoding /WinAnsiEncoding >>")
        for name in ("Helvetica", "Helvetica-Bold")
    ]
    shown = ""
    if image:
        width, height, data = image
        head = (
            f"<< /Type /XObject /Subtype /Image /Width {width} /Height {height} /ColorSpace "
            f"/DeviceRGB /BitsPerComponent 8 /Filter /DCTDecode /Length {len(data)} >>\nstream\n"
        )
        number = put(head.encode() + data + b"\nendstream")
        shown = f"/XObject << /Im1 {number} 0 R >>"
    tree = len(objects) + 2 * len(pages) + 1
    kids = []
    for lines in pages:
        drawn, down = [], 780
        for size, bold, text in lines:
            down -= 1.3 * size
            if text is not None:
                said = text.replace("\\", r"\\").replace("(", r"\(").replace(")", r"\)")
                drawn.append(f"BT /F{2 if bold else 1} {size} Tf 60 {down:.1f} Td ({said}) Tj ET")
        content = "\n".join(drawn).encode("cp1252")
        stream = put(b"<< /Length %d >>\nstream\n%s\nendstream" % (len(content), content))
        kids.append(
            put(
                f"<< /Type /Page /Parent {tree} 0 R /MediaBox [0 0 595 842] /Contents {stream} 0 R "
                f"/Resources << /Font << /F1 {fonts[0]} 0 R /F2 {fonts[1]} 0 R >> {shown} >> >>"
            )
        )
        shown = ""
    refs = " ".join(f"{kid} 0 R" for kid in kids)
    assert put(f"<< /Type /Pages /Kids [{refs}] /Count {len(kids)} >>") == tree
    root = put(f"<< /Type /Catalog /Pages {tree} 0 R >>")
    out, places = b"%PDF-1.4\n", []
    for number, body in enumerate(objects, 1):
        places.append(len(out))
        out += b"%d 0 obj\n%s\nendobj\n" % (number, body)
    table = b"".join(b"%010d 00000 n \n" % place for place in places)
    start = len(out)
    out += b"xref\n0 %d\n0000000000 65535 f \n%s" % (len(objects) + 1, table)
    out += b"trailer\n<< /Size %d /Root %d 0 R %s >>\n" % (len(objects) + 1, root, trailer)
    return out + b"startxref\n%d\n%%%%EOF\n" % start
