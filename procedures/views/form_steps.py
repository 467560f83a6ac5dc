"""What does the page of one step or phase answer, when a draft is written as a form?"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from procedures.models import Revision
from procedures.records.refused import Refused
from procedures.reports import form_desk as reports
from procedures.views.form_desk import (
    METHODS,
    Change,
    find_part,
    form_address,
    in_words,
    keep_change,
    no_draft,
    opened_draft,
    text_to_change,
    typed_rows_of,
)
from procedures.views.forms.steps import (
    PhaseForm,
    StepForm,
    StepRows,
    StepTextForm,
    initial_of,
    rows_of_step,
    step_from,
)
from procedures.views.step_pictures import Pictures, is_finding, open_pictures, take_pictures
from procedures.writeup.blocks import INTRO, TextBlock, find_block, insert_after, replace_block
from procedures.writeup.remarks import Unreadable
from procedures.writeup.step_fields import StepFields, read_step, write_step

NEW = "new"  # the key of a step that is not in the text yet
EMPTY = "### "


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a step stands in a text: how it is found there, and how it is put back. A new one
    stands behind another part, by its title and its key.
    """

    key: str
    find: Callable[[str], str]
    put: Callable[[str, str], str]
    after: str = ""
    behind: str = ""


@require_http_methods(METHODS)
def part(request: HttpRequest, name: str, number: int, key: str) -> HttpResponse:
    """A step or a phase of the draft, to be changed."""
    try:
        row = opened_draft(request, name, number)
    except Refused as refused:
        return no_draft(request, name, number, refused)
    base = text_to_change(request, row)
    block = find_part(base, key)
    if key == INTRO:
        return redirect("procedures:form-head", name=name, number=number)
    if not block.is_step:
        return _phase(request, row, block, lambda text, new: replace_block(text, key, new))
    if "text" in request.POST:
        return _step_as_text(request, row, base, block)
    place = _Place(
        key,
        find=lambda text: find_block(text, key).text,
        put=lambda text, new: replace_block(text, key, new),
    )
    return _step(request, row, base, place)


@require_http_methods(METHODS)
def add(request: HttpRequest, name: str, number: int, key: str) -> HttpResponse:
    """A new step or phase behind this part."""
    try:
        row = opened_draft(request, name, number)
    except Refused as refused:
        return no_draft(request, name, number, refused)
    base = text_to_change(request, row)
    block = find_part(base, key)
    if request.GET.get("kind") == "phase":
        return _phase(request, row, None, lambda text, new: insert_after(text, key, new))
    place = _Place(
        NEW,
        find=lambda text: EMPTY,
        put=lambda text, new: insert_after(text, key, new),
        after=block.title,
        behind=key,
    )
    return _step(request, row, base, place)


def _step(request: HttpRequest, row: Revision, base: str, place: _Place) -> HttpResponse:
    """The form of a step."""
    was, forks = read_step(place.find(base)), reports.list_forks(base)
    about = _about(base, place.key, was)
    rows = rows_of_step(was)
    if request.method != "POST":
        initial = initial_of(was, forks) | {"seen": row.changed_at.isoformat()}
        form, pictures = StepForm(initial=initial, **about), open_pictures(base, _names(was))
        shown = StepRows(None, rows=rows, drawn=pictures.drawn)
        return _step_page(request, row, form, shown, place, pictures)
    pictures = take_pictures(request, base)
    form = StepForm(pictures.post, **about)
    if {"add", "remove"} & request.POST.keys() or is_finding(request.POST):
        typed = typed_rows_of(pictures.post, tuple(rows))
        form = StepForm(initial={one.name: one.data for one in form}, **about)
        shown = StepRows(None, rows=typed, drawn=pictures.drawn)
        return _step_page(request, row, form, shown, place, pictures)
    sent = StepRows(pictures.post, rows=dict.fromkeys(rows, ()), drawn=pictures.drawn)
    text = None

    def change(whole: str) -> str:
        written = place.find(whole)
        said = step_from(form, sent, read_step(written), forks)
        return place.put(whole, write_step(written, said))

    if form.is_valid() & sent.is_valid() and not pictures.is_wrong:
        try:
            if "check" not in request.POST:
                return _kept(request, row, form, change, place.behind or place.key)
            text = change(base)
        except (Refused, Unreadable, ValidationError) as wrong:
            form.add_error(None, in_words(wrong))
    return _step_page(request, row, form, sent, place, pictures, text=text)


def _names(said: StepFields) -> tuple[str, ...]:
    """The names of the pictures of a step."""
    return tuple(one.name for one in (*said.before, *said.after))


def _about(text: str, key: str, said: StepFields) -> dict[str, Any]:
    """What the form of a step offers to choose from."""
    return {
        "said": said,
        "forks": reports.list_forks(text),
        "dangers": reports.list_dangers(),
        "steps": reports.steps_beside(text, key),
    }


def _kept(
    request: HttpRequest, row: Revision, form: StepForm, change: Change, key: str
) -> HttpResponse:
    given = form.cleaned_data
    said = gettext("The step “{title}” is saved.").format(title=given["title"])
    back = form_address(row, "" if key == INTRO else key)
    return keep_change(request, row, change, seen=given["seen"], said=said, back=back)


def _step_page(
    request: HttpRequest,
    row: Revision,
    form: StepForm,
    rows: StepRows,
    place: _Place,
    pictures: Pictures,
    *,
    text: str | None = None,
    text_form: StepTextForm | None = None,
) -> HttpResponse:
    key = place.key
    base = text_to_change(request, row)
    block = None if key == NEW else find_part(base, key)
    if block is not None and text_form is None:
        initial = {"text": block.text, "seen": form["seen"].value()}
        text_form = StepTextForm(initial=initial, auto_id="id_as_%s")
    shown = _shown_key(base, text, key)
    context = {
        "page": reports.part_page(row, base if text is None else text, shown),
        "form": form,
        "rows": rows,
        "pictures": pictures,
        "part": block,
        "after": place.after,
        "text_form": text_form,
        "is_checked": "check" in request.POST,
    }
    return render(request, "procedures/form_step.html", context)


def _shown_key(base: str, text: str | None, key: str) -> str:
    """The id of the step in the text that was checked: a new one has got its id only there."""
    if key != NEW or text is None:
        return key
    known = {step for step, _ in reports.steps_beside(base, "")}
    return next((step for step, _ in reports.steps_beside(text, "") if step not in known), key)


def _step_as_text(request: HttpRequest, row: Revision, base: str, block: TextBlock) -> HttpResponse:
    """The step, typed as text."""
    form = StepTextForm(request.POST, auto_id="id_as_%s")
    key = block.key
    if form.is_valid():
        new = form.cleaned_data["text"]
        try:
            return keep_change(
                request,
                row,
                lambda text: replace_block(text, key, new),
                seen=form.cleaned_data["seen"],
                said=gettext("The step is saved as you typed it."),
                back=form_address(row, key),
            )
        except (Refused, Unreadable) as wrong:
            form.add_error("text", in_words(wrong))
    was = read_step(block.text)
    initial = initial_of(was, reports.list_forks(base)) | {"seen": form["seen"].value()}
    fields = StepForm(initial=initial, **_about(base, key, was))
    pictures = open_pictures(base, _names(was))
    rows = StepRows(None, rows=rows_of_step(was), drawn=pictures.drawn)
    place = _Place(key, find=lambda text: block.text, put=lambda text, new: text)
    return _step_page(request, row, fields, rows, place, pictures, text_form=form)


def _phase(
    request: HttpRequest, row: Revision, block: TextBlock | None, put: Callable[[str, str], str]
) -> HttpResponse:
    """The form of a phase; without a block of a new one."""
    body = "\n".join(block.text.split("\n")[1:]).strip("\n") if block else ""
    initial = {
        "title": block.title if block else "",
        "body": body,
        "seen": row.changed_at.isoformat(),
    }
    form = PhaseForm(request.POST or None, initial=initial)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        title, below = given["title"], given["body"].strip("\n")
        new = block.text if block else ""
        if block is None or (title, below) != (block.title, body):
            new = f"## {title}\n\n{below}".strip()
        said = gettext("The phase “{title}” is saved.").format(title=title)
        back = form_address(row, block.key if block else "")
        try:
            return keep_change(
                request, row, lambda text: put(text, new), seen=given["seen"], said=said, back=back
            )
        except (Refused, Unreadable) as wrong:
            form.add_error(None, in_words(wrong))
    page = reports.part_page(row, row.text, block.key if block else "")
    context = {"page": page, "form": form, "part": block}
    return render(request, "procedures/form_phase.html", context)
