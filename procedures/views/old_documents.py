"""How does an old procedure come in by a page: first what was understood of it, then the draft?"""

from __future__ import annotations

from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from procedures.access import acts
from procedures.actions.desk import start_from_old
from procedures.actions.old_documents import start_from_document
from procedures.models import Revision
from procedures.records.documents.model import BadDocument, Document
from procedures.records.documents.reading import read_document
from procedures.records.incoming import drop_incoming, find_incoming, keep_incoming
from procedures.records.refused import Refused
from procedures.reports.old_documents import OldProcedure, tell_old_document, tell_old_text
from procedures.views.forms.writeups import OldTextForm
from procedures.writeup.remarks import Remark

SHOWN = 500  # lines on the page; the draft has all


@dataclass(frozen=True, slots=True)
class Old:
    """What somebody gave: a text, or a document that waits under a mark."""

    text: str = ""
    document: Document | None = None
    said: tuple[Remark, ...] = ()
    mark: str = ""


@require_http_methods(["GET", "HEAD", "POST"])
def old_text(request: HttpRequest) -> HttpResponse:
    """A draft from an old procedure: first what would become of it, then the draft."""
    acts.WRITE.must_be_open_to(request.user)
    form = OldTextForm(request.POST or None, request.FILES or None)
    page: OldProcedure | None = None
    if request.method == "POST" and form.is_valid():
        old = _given(request, form)
        if old is not None:
            page = _understood(form, old)
            started = _started(request, form, old, page) if "start" in request.POST else None
            if started is not None:
                return started
            form = _with_what_was_read(form, old, page)
    return render(request, "procedures/old_text.html", {"form": form, "page": page, "most": SHOWN})


def _given(request: HttpRequest, form: OldTextForm) -> Old | None:
    """What came: a file now, one that waits from the last look, or the text of the field."""
    given = form.cleaned_data
    if (found := given.get("found")) is not None:
        if not isinstance(found, Document):
            return Old(text=found, said=given["said"])
        try:
            mark = keep_incoming(request.user, given["file"].name, given["data"])
        except OSError:
            form.add_error(
                "file",
                gettext(
                    "The file could not be kept. The disk may be full. Tell whoever runs the site."
                ),
            )
            return None
        return Old(document=found, said=given["said"], mark=mark)
    if given["waiting"]:
        return _waiting(request, form)
    return Old(text=given["text"])


def _waiting(request: HttpRequest, form: OldTextForm) -> Old | None:
    mark = form.cleaned_data["waiting"]
    waiting = find_incoming(request.user, mark)
    try:
        found, said = read_document(*waiting) if waiting else ("", ())
    except BadDocument:
        found, said = "", ()
    if not isinstance(found, Document):
        form.add_error("file", gettext("Your file is not here any more. Choose it again."))
        return None
    return Old(document=found, said=said, mark=mark)


def _understood(form: OldTextForm, old: Old) -> OldProcedure:
    given = form.cleaned_data
    if old.document is None:
        return tell_old_text(old.text, title=given["title"], said=old.said)
    return tell_old_document(old.document, title=given["title"], name=given["name"], said=old.said)


def _started(
    request: HttpRequest, form: OldTextForm, old: Old, page: OldProcedure
) -> HttpResponse | None:
    given = form.cleaned_data
    name = given["name"] or form.name_for(page.title)
    try:
        draft = _kept(request, old, name, page.title)
    except Refused as refused:
        form.add_error(None, refused.message)
        return None
    drop_incoming(request.user, old.mark)
    messages.success(
        request,
        gettext(
            "The draft is made from the old text. Compare it with the old text before "
            "you send it to review."
        ),
    )
    return redirect(reverse("procedures:edit", args=[draft.writeup.name, draft.number]))


def _kept(request: HttpRequest, old: Old, name: str, title: str) -> Revision:
    if old.document is not None:
        return start_from_document(
            name=name, title=title, document=old.document, author=request.user
        )
    return start_from_old(
        name=name, title=title, text=old.text, author=request.user, now=timezone.now()
    )


def _with_what_was_read(form: OldTextForm, old: Old, page: OldProcedure) -> OldTextForm:
    """The form with the text of the file, or the mark of the document that waits, and the guessed
    title in its fields, so that nothing has to be chosen twice.
    """
    given = form.cleaned_data
    again = OldTextForm(
        {
            "title": page.title,
            "name": given["name"] or form.name_for(page.title),
            "text": old.text,
            "waiting": old.mark,
        }
    )
    if old.mark:
        again.show_waiting()
    again.is_valid()
    for error in form.non_field_errors():
        again.add_error(None, str(error))
    return again
