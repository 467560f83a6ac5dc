"""What is said of an uploaded file that is no picture to keep?"""

from django.utils.translation import gettext_lazy as _

from procedures.records.wording.pieces import Words

PICTURES: dict[str, Words] = {
    "file-empty": _("The file is empty. Choose it again."),
    "file-too-large": _(
        "The file has {size:.0f} MB, but the site takes at most {most} MB. Make the picture "
        "smaller."
    ),
    "photo-too-large": _(
        "The photo has {size:.0f} megapixels, but the site takes at most {most} of this kind. "
        "Make it smaller, or save it as a plain JPEG."
    ),
    "photo-damaged": _("The photo is damaged or cut off. Take it from the camera or phone again."),
    "photo-far-too-large": _("The photo has far more than {most} megapixels. Make it smaller."),
    "photo-of-heic": _(
        "This is a HEIC photo. Set the phone to save photos as JPEG, or send it as JPEG."
    ),
    "no-picture": _(
        "This file is not a JPEG, PNG or WebP photo and not an SVG drawing, whatever its name "
        "says. Save it as one of them."
    ),
    "drawing-too-large": _(
        "The drawing has {size} kB, but the site takes at most {most} kB. Make it simpler."
    ),
    "drawing-without-shapes": _(
        "The drawing has no shapes. Draw it with paths, lines, circles and text."
    ),
    "drawing-of-document-type": _(
        "The drawing has a document type, which could hide things. Save it again as plain SVG "
        "without one."
    ),
    "no-drawing": _(
        "This file is not an SVG drawing, whatever its name says. Save it as plain SVG."
    ),
    "drawing-of-pieces": _("The drawing has more than {most} pieces. Make it simpler."),
    "drawing-without-size": _(
        "The drawing does not say how large it is. Give it a viewBox, such as 0 0 320 200."
    ),
    "drawing-of-entity": _(
        "The drawing has an entity, which could hide things. Save it again as plain SVG."
    ),
    "drawing-of-element": _(
        "The drawing has a “{name}”, but the site takes only plain shapes, patterns and text. "
        "Turn it into paths or take it out, then upload again."
    ),
    "drawing-that-acts": _(
        "The drawing has something that runs or moves (“{name}”). Take it out, then upload again."
    ),
    "drawing-of-link": _(
        "The drawing has a link, or a picture from elsewhere. Take it out, then upload again."
    ),
    "drawing-points-outside": _(
        "The drawing points to something outside itself. Take it out, then upload again."
    ),
    "drawing-unreadable": _(
        "The file cannot be read as an SVG drawing in line {line}. Save it again as plain SVG."
    ),
    "drawing-no-xml": _("The file cannot be read as an SVG drawing. Save it again as plain SVG."),
    "photo-of-other-name": _("The file is not the one of this name. Take the photos out again."),
}
"""The sentence of each fault, made from its arguments."""
