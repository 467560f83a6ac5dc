"""What does a draft answer that is written as a form: the whole, its head, one step, a split, a
move?

Each change is a function from the text to the text, tried on the text that was opened. So a clash
of two people ends where one at the desk ends: with both texts side by side, and nothing lost.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from procedures.access import doors
from procedures.actions import desk as actions
from procedures.models import Revision
from procedures.records.above import level_titles, shop_now
from procedures.records.refused import Refused
from procedures.records.wording.say import say
from procedures.reports import desk as desk_reports
from procedures.reports import form_desk as reports
from procedures.reports.examples import find_example
from procedures.views import desk
from procedures.views.forms.heads import HeadForm, HeadRows, head_from, rows_of_head
from procedures.views.forms.language import SeenForm
from procedures.views.forms.rules import RowTyped, changed, rows_typed
from procedures.views.forms.steps import SplitForm
from procedures.writeup.blocks import (
    INTRO,
    TextBlock,
    field_lines,
    find_block,
    move_block,
    replace_block,
    split_step,
    take_out,
)
from procedures.writeup.heads import read_head, write_head
from procedures.writeup.remarks import Unreadable

Change = Callable[[str], str]
METHODS = ["GET", "HEAD", "POST"]


@dataclass(frozen=True, slots=True)
class MoreSaid:
    """What more than the text a change says of the revision."""

    reason: str
    asks: str


def opened_draft(request: HttpRequest, name: str, number: int) -> Revision:
    """The draft, for somebody who may change it now. Raises Refused where it is no draft."""
    row = doors.revision_to_write(request.user, name, number, today=timezone.localdate(shop_now()))
    if row.released_on is not None or row.sent_to_review_at is not None:
        raise Refused(
            gettext("You can change only a draft. This revision is released or in review.")
        )
    return row


def no_draft(request: HttpRequest, name: str, number: int, refused: Refused) -> HttpResponse:
    """Back to the revision, with what is against changing it."""
    messages.error(request, refused.message)
    return redirect("procedures:revision", name=name, number=number)


def keep_change(
    request: HttpRequest,
    row: Revision,
    change: Change,
    *,
    seen: datetime,
    said: str,
    back: str,
    more: MoreSaid | None = None,
) -> HttpResponse:
    """The draft with this change, or both texts where somebody else saved in between. Raises
    Refused or Unreadable where it cannot be done.
    """
    text = reports.find_opened_text(row, seen)
    if text is None:
        raise Refused(
            gettext(
                "This page is out of date. Copy your text, open the page again and go on there."
            )
        )
    asked = more or MoreSaid(row.reason, row.asks)
    new, own = change(text), desk_reports.make_desk()
    try:
        actions.save_from_desk(
            revision=row,
            by=request.user,
            desk=own,
            text=new,
            reason=asked.reason,
            asks=asked.asks,
            seen=seen,
            now=timezone.now(),
        )
    except Refused:
        # What the action refused may have changed since this request read it.
        row.refresh_from_db()
        if seen == row.changed_at:
            raise
        given = {"text": new, "reason": asked.reason, "asks": asked.asks}
        return desk.show_clash(request, row, given | {"seen": seen.isoformat(), "desk": own})
    messages.success(request, said)
    return redirect(back)


def form_address(row: Revision, key: str = "") -> str:
    """Where the whole draft stands as a form, unfolded at one of its parts."""
    address = reverse("procedures:form", args=[row.writeup.name, row.number])
    return f"{address}?{urlencode({'open': key})}#part-{key}" if key else address


def text_to_change(request: HttpRequest, row: Revision) -> str:
    """The text that the page was opened on; what is typed on it is not lost where a part of it is
    gone since.
    """
    form = SeenForm(request.POST)
    if request.method != "POST" or not form.is_valid():
        return row.text
    return reports.find_opened_text(row, form.cleaned_data["seen"]) or row.text


def typed_rows_of(post: Mapping[str, str], kinds: Sequence[str]) -> dict[str, list[RowTyped]]:
    """The rows that were typed, with one more or one less as its button says."""
    typed = {kind: list(rows_typed(post, kind)) for kind in kinds}
    return changed(typed, add=post.get("add", ""), remove=post.get("remove", ""))


def find_part(text: str, key: str) -> TextBlock:
    """The part of this key. Raises Http404."""
    try:
        return find_block(text, key)
    except Unreadable:
        raise Http404 from None


@require_safe
def overview(request: HttpRequest, name: str, number: int) -> HttpResponse:
    try:
        row = opened_draft(request, name, number)
    except Refused as refused:
        return no_draft(request, name, number, refused)
    page = reports.form_page(row, request.GET.get("open", ""))
    asked = request.GET.get("step", "").strip()
    if asked:
        key = next((part.key for part in page.parts if part.number == asked), "")
        if not key:
            messages.error(request, gettext("This draft has no step of this number."))
        return redirect(form_address(row, key))
    context = {"page": page, "example": find_example(request.user, row)}
    return render(request, "procedures/form.html", context)


@require_http_methods(METHODS)
def head(request: HttpRequest, name: str, number: int) -> HttpResponse:
    try:
        row = opened_draft(request, name, number)
        was = read_head(text_to_change(request, row))
    except Refused as refused:
        return no_draft(request, name, number, refused)
    except Unreadable as bad:
        messages.error(request, say(bad.remark))
        return redirect("procedures:edit", name=name, number=number)
    about: dict[str, Any] = {
        "head": was,
        "levels": level_titles(),
        "writeups": reports.writeup_titles(row),
        "is_first": row.number == 1,
    }
    rows = rows_of_head(was)
    if request.method != "POST":
        form = HeadForm(initial=_initial_head(row), **about)
        return _head_page(request, row, form, HeadRows(None, forks=was.variants, rows=rows))
    form = HeadForm(request.POST, **about)
    if {"add", "remove"} & request.POST.keys():
        typed = typed_rows_of(request.POST, tuple(rows))
        form = HeadForm(initial={one.name: one.data for one in form}, **about)
        return _head_page(request, row, form, HeadRows(None, forks=was.variants, rows=typed))
    sent = HeadRows(request.POST, forks=was.variants, rows={"forks": (), "never": ()})
    if form.is_valid() & sent.is_valid():
        try:
            return _head_kept(request, row, form, sent)
        except (Refused, Unreadable, ValidationError) as wrong:
            form.add_error(None, in_words(wrong))
    return _head_page(request, row, form, sent)


def _initial_head(row: Revision) -> dict[str, object]:
    was = read_head(row.text)
    names = ("title", "level", "interval", "follows", "given", "leaves", "off", "leaves_off")
    return {name: getattr(was, name) for name in names} | {
        "intro": find_block(row.text, INTRO).text,
        "reason": row.reason,
        "asks": row.asks,
        "seen": row.changed_at.isoformat(),
    }


def _head_kept(request: HttpRequest, row: Revision, form: HeadForm, rows: HeadRows) -> HttpResponse:
    given = form.cleaned_data

    def change(text: str) -> str:
        new = write_head(text, head_from(form, rows, read_head(text)))
        intro = given["intro"].strip("\n")
        is_same = intro == find_block(new, INTRO).text
        return new if is_same else replace_block(new, INTRO, intro)

    more = None
    if row.number > 1:
        more = MoreSaid(given["reason"], given["asks"] or row.asks)
    said = gettext("The head is saved.")
    return keep_change(
        request, row, change, seen=given["seen"], said=said, back=form_address(row), more=more
    )


def _head_page(request: HttpRequest, row: Revision, form: HeadForm, rows: HeadRows) -> HttpResponse:
    page = reports.part_page(row, row.text, reports.HEAD)
    return render(request, "procedures/form_head.html", {"page": page, "form": form, "rows": rows})


def in_words(wrong: Refused | Unreadable | ValidationError) -> str | ValidationError:
    """What is wrong, as a sentence for the form."""
    if isinstance(wrong, Unreadable):
        return say(wrong.remark)
    return wrong.message if isinstance(wrong, Refused) else wrong


@require_http_methods(METHODS)
def split(request: HttpRequest, name: str, number: int, key: str) -> HttpResponse:
    try:
        row = opened_draft(request, name, number)
    except Refused as refused:
        return no_draft(request, name, number, refused)
    part = find_part(text_to_change(request, row), key)
    if not part.is_step:
        raise Http404
    rows = part.text.replace("\r\n", "\n").split("\n")
    fields = [(str(at), rows[at]) for at in field_lines(part.text)]
    starts = _starts(rows, field_lines(part.text).stop)
    form = SplitForm(
        request.POST or None,
        paragraphs=starts,
        fields=fields,
        initial={"seen": row.changed_at.isoformat()},
    )
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        lines = {*map(int, given.get("moved", ())), *range(int(given["start"]), len(rows))}
        try:
            return keep_change(
                request,
                row,
                lambda text: split_step(text, key, title=given["title"], lines=lines),
                seen=given["seen"],
                said=gettext("The step is now two steps."),
                back=form_address(row, key),
            )
        except (Refused, Unreadable) as wrong:
            form.add_error(None, in_words(wrong))
    page = reports.part_page(row, row.text, key)
    context = {"page": page, "form": form, "part": part, "can_split": len(starts) > 0}
    return render(request, "procedures/form_split.html", context)


def _starts(rows: list[str], body: int) -> list[tuple[str, str]]:
    """The lines with which a paragraph begins, but for the first one."""
    found = [
        (str(at), rows[at].strip())
        for at in range(body, len(rows))
        if rows[at].strip() and not rows[at - 1].strip() and not rows[at].startswith(" ")
    ]
    return found[1:]


@require_POST
def move(request: HttpRequest, name: str, number: int) -> HttpResponse:
    """One step one place further, or one phase with its steps."""
    up = request.POST.get("way") == "up"
    return _at_once(
        request,
        name,
        number,
        lambda text, key: move_block(text, key, up=up),
        gettext("It is moved."),
    )


@require_POST
def take(request: HttpRequest, name: str, number: int) -> HttpResponse:
    """One step or phase less."""
    return _at_once(request, name, number, take_out, gettext("It is taken out."))


def _at_once(
    request: HttpRequest, name: str, number: int, change: Callable[[str, str], str], said: str
) -> HttpResponse:
    """A change for which nothing is typed: on a newer text than was seen it is not done."""
    try:
        row = opened_draft(request, name, number)
    except Refused as refused:
        return no_draft(request, name, number, refused)
    key, form = request.POST.get("key", ""), SeenForm(request.POST)
    try:
        if not form.is_valid() or form.cleaned_data["seen"] != row.changed_at:
            raise Refused(
                gettext(
                    "Somebody changed this draft after you opened it. Look at it and try again."
                )
            )
        return keep_change(
            request,
            row,
            lambda text: change(text, key),
            seen=row.changed_at,
            said=said,
            back=form_address(row, "" if change is take_out else key),
        )
    except (Refused, Unreadable) as wrong:
        messages.error(request, str(in_words(wrong)))
    return redirect(form_address(row, key))
