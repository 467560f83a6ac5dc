"""What is said of an old document: where something stood, what was left out, and why a file cannot
be read?
"""

from django.utils.translation import gettext_lazy as _

from procedures.records.wording.pieces import Words

DOCUMENTS: dict[str, Words] = {
    # where
    "place-document": _("the whole document"),
    "place-paragraph": _("paragraph {number}"),
    "place-table": _("table {number}"),
    "place-page": _("page {number}"),
    "place-line": _("line {number}"),
    # left out
    "left-macros": _("The document holds macros. They are not read."),
    "left-head-or-foot": _("It stands in the head or foot of the pages."),
    "left-too-deep": _("It lies too deep inside other tables or boxes."),
    "left-deleted": _("Somebody deleted these words as a tracked change."),
    "left-other-file": _("Another file or program made this part. It is not read."),
    "left-formula": _("It is a formula. Type it into the draft."),
    "left-table-in-table": _("This table stands inside another table."),
    "left-hidden": _("These words are hidden in the document."),
    "left-struck": _("These words are struck through."),
    "left-symbol": _("It is a sign of a symbol font. Type it into the draft."),
    "left-note": _("It is a footnote."),
    "left-comment": _("It is a comment at the edge."),
    "left-linked-picture": _("The picture lies in another file and did not come along."),
    "left-drawing": _("It is a drawing made of lines and shapes. Put in a photo of it."),
    "left-contents": _("It is a table of contents or an index."),
    "left-page": _("This page cannot be read."),
    "left-page-without-words": _("This page has no words. It may be a scan; type it."),
    "left-layout": _(
        "A PDF does not say what is a heading, a table or a list. The site guessed by place and "
        "size."
    ),
    "picture-not-taken": _("The picture was not taken. {why}"),
    "picture-too-large-part": _("The picture was not taken: it is too large."),
    "picture-damaged": _("The picture was not taken: it is damaged."),
    "too-many-pictures": _("The site takes at most {most} pictures of one document."),
    # guesses
    "from-text-box": _("It stood in a text box. Check that it stands at the right step."),
    "caution-from-table": _("It stood in a box with a signal word, so it is a caution."),
    "steps-from-table": _("The rows of this table are numbered, so each became a step."),
    "head-of-steps": _("It was the head of a table of steps. Take it out if nobody needs it."),
    "table-of-values": _("It is a table. Write each value into its step, such as torque: 7 N·m."),
    "torque-from-table": _(
        "It is a torque, so it became a step of its own. It is not yet read: compare it with the "
        "maker’s manual."
    ),
    "torque-no-number": _(
        "“{text}” is not one number or range with one unit of torque. Write it into its step."
    ),
    "torque-without-unit": _(
        "“{text}” has no unit, and neither has the head of its column. Look it up in the maker’s "
        "manual."
    ),
    "torque-two-units": _(
        "“{text}” has another unit than the head of the table, or two. Look up which one is right."
    ),
    "torques-differ": _("The torques in this row do not agree. Look up which one is right."),
    "torque-without-part": _("It does not say clearly which part this torque is for."),
    "bold-warning": _("It was bold, so it is a warning. Choose the right signal word."),
    "bold-heading": _("It was a short bold line, so it is a heading."),
    "picture-taken": _("Check that the picture stands at the right step, and say what it shows."),
    # worth saying of the file
    "read-by-content": _(
        "The file’s name ends in {ending}, but it is a {kind} file. It was read as that."
    ),
    "read-as-utf-16": _("The text is written in UTF-16."),
    "read-as-windows-1252": _(
        "The text is written in Windows-1252, an old code page. Check letters with accents and "
        "signs such as ° and ±."
    ),
    # refusals
    "document-empty": _("The file is empty. Choose another one."),
    "document-too-large": _(
        "The file is larger than {most} MB. Divide it, or make its pictures smaller."
    ),
    "document-too-long": _(
        "The text is longer than {most} characters. Divide it into several write-ups."
    ),
    "document-damaged": _(
        "The file is damaged or cut off. Open it in its program and save it again."
    ),
    "document-bomb": _(
        "A part of this file would unpack to more than {most} MB, so it was not opened. Save it "
        "again with smaller pictures."
    ),
    "document-locked": _(
        "The document is protected. Save it without a password and without limits."
    ),
    "document-of-document-type": _(
        "The file declares XML of its own making, which could hide things. Save it again with a "
        "word processor."
    ),
    "document-many-pages": _(
        "This PDF has {count} pages; the site reads at most {most} at once. Save the pages of one "
        "procedure as a file of their own."
    ),
    "document-old-or-locked": _(
        "This is a document of an old kind (.doc), or one with a password. Save it as .docx or "
        ".odt, without a password."
    ),
    "document-rich-text": _("This is a rich text file (.rtf). Save it as .docx or .odt."),
    "document-no-text": _("This file is not plain text. Save it as plain text (UTF-8)."),
    "document-other-kind": _("The site cannot read this kind of file. Choose one of: {kinds}."),
    "document-without-words": _(
        "The site found no words in this document. If it is a scan, type the text."
    ),
}
"""The sentence of each remark, made from its arguments."""
