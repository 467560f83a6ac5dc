"""What does each page on write-ups answer, and what does each of its buttons do?"""

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from procedures.access import acts, doors
from procedures.actions import writeups as actions
from procedures.models import Revision
from procedures.records.above import gaps_in, impact_of, level_faults, shop_now
from procedures.records.refused import Refused
from procedures.reports import writeups as reports
from procedures.views.forms.writeups import ReleaseForm, SendBackForm, StartForm


@require_safe
def writeups(request: HttpRequest) -> HttpResponse:
    page = reports.list_page(request.user, timezone.localdate(shop_now()))
    return render(request, "procedures/list.html", {"page": page})


@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    acts.WRITE.must_be_open_to(request.user)
    form = StartForm(request.POST or None)
    if form.is_valid():
        given = form.cleaned_data
        try:
            draft = actions.start_writeup(
                name=given["name"], title=given["title"], author=request.user, now=timezone.now()
            )
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            return redirect("procedures:form", name=draft.writeup.name, number=draft.number)
    return render(request, "procedures/new.html", {"form": form})


@require_POST
def start_next(request: HttpRequest, name: str) -> HttpResponse:
    writeup = doors.writeup_to_write(request.user, name)
    try:
        draft = actions.start_revision(writeup=writeup, author=request.user, now=timezone.now())
    except Refused as refused:
        messages.error(request, refused.message)
        return redirect("procedures:list")
    return redirect("procedures:edit", name=name, number=draft.number)


@require_safe
def current(request: HttpRequest, name: str) -> HttpResponse:
    row = doors.current_revision(name, today=timezone.localdate(shop_now()))
    return redirect("procedures:revision", name=name, number=row.number)


@require_safe
def revision(request: HttpRequest, name: str, number: int) -> HttpResponse:
    today = timezone.localdate(shop_now())
    row = doors.revision_for(request.user, name, number, today=today)
    return _revision_page(request, row)


def _revision_page(
    request: HttpRequest, row: Revision, send_back: SendBackForm | None = None
) -> HttpResponse:
    chosen = request.GET.dict()
    page = reports.revision_page(
        request.user,
        row,
        today=timezone.localdate(shop_now()),
        chosen=chosen,
        show_all=chosen.get("_all") == "yes",
    )
    context = {
        "page": page,
        "impact": impact_of(row, now=shop_now())
        # Worked out only for who decides: it asks the standing of the whole shop.
        if page.changes and page.state == "in review"
        else None,
        "study": page.study,
        "gaps": gaps_in(row) if page.findings else (),
        # For who writes: findings are worked out for nobody else.
        "level_faults": level_faults(row, timezone.localdate(shop_now())) if page.findings else (),
        "send_back": send_back or SendBackForm(),
        "release": ReleaseForm(initial={"seen": page.seen}),
    }
    return render(request, "procedures/revision.html", context)


@require_POST
def send_to_review(request: HttpRequest, name: str, number: int) -> HttpResponse:
    row = doors.revision_to_write(request.user, name, number, today=timezone.localdate(shop_now()))
    return _done(
        request,
        row,
        gettext("The draft is in review."),
        lambda: actions.send_to_review(revision=row, by=request.user, now=timezone.now()),
    )


@require_POST
def send_back(request: HttpRequest, name: str, number: int) -> HttpResponse:
    row = doors.revision_to_write(request.user, name, number, today=timezone.localdate(shop_now()))
    form = SendBackForm(request.POST)
    if not form.is_valid():
        return _revision_page(request, row, form)
    return _done(
        request,
        row,
        gettext("It is a draft again. The author sees your reason."),
        lambda: actions.send_back(
            revision=row, by=request.user, reason=form.cleaned_data["reason"]
        ),
    )


@require_POST
def release(request: HttpRequest, name: str, number: int) -> HttpResponse:
    today = timezone.localdate(shop_now())
    row = doors.revision_to_write(request.user, name, number, today=today)
    form = ReleaseForm(request.POST)
    # Without the moment of what was read, a text that was changed since would be released unread.
    seen = form.cleaned_data["seen"] if form.is_valid() else None
    if seen is None:
        messages.error(
            request, gettext("This page is out of date. Open it again and release from there.")
        )
        return redirect("procedures:revision", name=name, number=number)
    return _done(
        request,
        row,
        gettext("Released. From now on this is the revision to study and to work from."),
        lambda: actions.release(
            revision=row, by=request.user, seen=seen, is_read=form.cleaned_data["is_read"]
        ),
    )


def _done(
    request: HttpRequest, row: Revision, said: str, act: Callable[[], Revision]
) -> HttpResponse:
    """Does it and says so, or says why not; back on the revision's page either way."""
    try:
        act()
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, said)
    return redirect("procedures:revision", name=row.writeup.name, number=row.number)
