"""What is said of an item of another program that cannot come in as a question?"""

from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext_lazy

from procedures.records.wording.pieces import Words

PACKAGES: dict[str, Words] = {
    # package
    "qti-no-zip": _("This is no zip file, or it is damaged. Take the package out again."),
    "qti-no-manifest": _("The file has no imsmanifest.xml, so it is no package of questions."),
    "qti-too-many": _(
        "The package has more than {most} files, or two of one name. Take it out in parts."
    ),
    "qti-too-large": _("This is larger than {most} bytes, which no question needs."),
    "qti-file-missing": _("The manifest names this file, but it is not in the package."),
    "qti-not-an-item": _("This is no question ({kind})."),
    # reading
    "qti-no-xml": _("This is no XML: see line {line}."),
    "qti-doctype": _("This XML has a DOCTYPE. Take that out: it can hide harm."),
    "qti-older": _("This is version 2 of the format. Take it out as version 3.0."),
    "qti-no-item": _("This is “{name}” and no item of QTI 3."),
    "qti-shape": _("Line {line} has something that a question here cannot have."),
    "qti-adaptive": _("It changes with the answers given. A question here stays as it is."),
    "qti-not-one": ngettext_lazy(
        "It has {count} place for an answer that can be read here, or lacks parts. One is needed.",
        "It has {count} places for an answer. Make a question of each.",
        "count",
    ),
    "qti-picture": _(
        "It shows “{name}”, and there is no such drawing. Bring in the drawing first."
    ),
    "qti-size": _("The drawing “{name}” is {width} by {height} here. The spots lie elsewhere."),
    "qti-spot": _("A right spot has the shape “{shape}”. Use circles or rectangles."),
    "qti-wrong-spots": _("The wrong spots were left out: everywhere else is wrong."),
    "qti-feedback-left-out": _("What is said only after some answers was left out."),
    "qti-order-without-steps": _(
        "An order is asked here of the steps of a write-up, and this item names none."
    ),
    "qti-fork": _("Its fork cannot be read."),
    "qti-pairs": _("Each part on the left needs just one partner on the right."),
    # scoring
    "qti-scoring": _("It is marked in another way than right or not right."),
    # amounts
    "qti-no-number": _("Its right answer is not one number."),
    "qti-tolerance": _("Its tolerance cannot be read, or leaves out its own ends."),
    "qti-amount-differs": _("It says “{amount}”, but its number or tolerance is another one."),
    "qti-unit": _("Behind the number stands “{unit}”, which is no unit that is known here."),
}
