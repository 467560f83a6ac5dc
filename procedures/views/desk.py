"""What does the author's desk answer: the page, a check while typing, what is kept, and a clash of
two people?
"""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_POST

from procedures.access import doors
from procedures.actions import desk as actions
from procedures.models import Revision, Typed
from procedures.records.above import shop_now
from procedures.records.days.reader import say_clock
from procedures.records.refused import Refused
from procedures.reports import desk as reports
from procedures.views.forms.writeups import DraftForm, TypingForm

FORK = "fork-"  # before the name of a variant in the fields that choose the fork of the preview


@require_http_methods(["GET", "HEAD", "POST"])
def edit(request: HttpRequest, name: str, number: int) -> HttpResponse:
    row = doors.revision_to_write(request.user, name, number, today=timezone.localdate(shop_now()))
    if request.method == "POST":
        return _edited(request, row)
    if row.released_on is not None or row.sent_to_review_at is not None:
        messages.error(
            request, gettext("You can change only a draft. This revision is released or in review.")
        )
        return redirect("procedures:revision", name=name, number=number)
    return _opened(request, row)


def _opened(request: HttpRequest, row: Revision) -> HttpResponse:
    """The draft as it is saved, or, where that is asked for, as this person typed on it and did not
    save.
    """
    initial = {
        "text": row.text,
        "reason": row.reason,
        "asks": row.asks,
        "seen": row.changed_at.isoformat(),
        "desk": reports.make_desk(),
    }
    wanted = request.GET.get("typed")
    typed = (
        Typed.objects.filter(revision=row, person_id=request.user.pk, desk=wanted).first()
        if wanted
        else None
    )
    if typed is not None:
        initial |= {
            "text": typed.text,
            "reason": typed.reason,
            "seen": typed.seen.isoformat(),
            "desk": typed.desk,
        }
    return _desk(
        request, row, DraftForm(initial=initial), str(initial["text"]), desk=str(initial["desk"])
    )


def _edited(request: HttpRequest, row: Revision) -> HttpResponse:
    """Checks or saves what was typed. Whatever goes wrong, the page comes back with the typed text
    in it.
    """
    form = DraftForm(request.POST)
    typed, desk = form.data.get("text", ""), form.data.get("desk", "")
    if not form.is_valid():
        return _desk(request, row, form, typed, desk=desk)
    given = form.cleaned_data
    if "check" in request.POST or "beside" in request.POST:
        return (
            _beside(request, row, form)
            if given["opened"]
            else _desk(request, row, form, given["text"], desk=desk)
        )
    if "take" in request.POST:
        return _take_theirs(request, row, form)
    return _saved(request, row, form)


def _saved(request: HttpRequest, row: Revision, form: DraftForm) -> HttpResponse:
    given = {key: value for key, value in form.cleaned_data.items() if key != "opened"}
    over = "over" in request.POST
    try:
        kept = actions.save_from_desk(
            revision=row, by=request.user, now=timezone.now(), over=over, **given
        )
    except Refused as refused:
        # What the action refused may have changed since this request read it.
        row.refresh_from_db()
        if (
            given["seen"] != row.changed_at
            and row.released_on is None
            and row.sent_to_review_at is None
        ):
            return _clash(request, row, form)
        form.add_error(None, refused.message)
        return _desk(request, row, form, given["text"], desk=given["desk"])
    if row.number > 1 and kept.asks != given["asks"]:
        # Told, since the action asks more than the field said.
        messages.info(
            request,
            gettext(
                "The revision now asks “{asks}”, because its changes do. If less is enough, "
                "say why on the comparison page."
            ).format(asks=kept.asks),
        )
    said = (
        gettext("Your text is now the draft. The other text is kept for the person who saved it.")
        if over
        else gettext("The draft is saved.")
    )
    messages.success(request, said)
    return redirect("procedures:edit", name=row.writeup.name, number=row.number)


def _clash(request: HttpRequest, row: Revision, form: DraftForm) -> HttpResponse:
    """Three texts and three ways. What is sent from here follows upon the text that is saved
    now.
    """
    given = form.cleaned_data
    opened = given["opened"] or given["seen"]
    page = reports.clash_page(row, mine=given["text"], seen=opened)
    again = DraftForm(
        {**request.POST.dict(), "seen": row.changed_at.isoformat(), "opened": opened.isoformat()}
    )
    return render(request, "procedures/clash.html", {"page": page, "form": again})


def show_clash(request: HttpRequest, row: Revision, given: dict[str, str]) -> HttpResponse:
    """Three texts and three ways, for a text that was not typed at the desk."""
    form = DraftForm(given)
    # A draft that everything is taken out of is no text that could be laid beside another.
    if not form.is_valid():
        raise Refused(_wrong(form))
    page = reports.clash_page(row, mine=form.cleaned_data["text"], seen=form.cleaned_data["seen"])
    again = DraftForm(given | {"seen": row.changed_at.isoformat(), "opened": given["seen"]})
    return render(request, "procedures/clash.html", {"page": page, "form": again})


def _beside(request: HttpRequest, row: Revision, form: DraftForm) -> HttpResponse:
    """My text at the desk, with the other one in view."""
    given = form.cleaned_data
    clash = reports.clash_page(row, mine=given["text"], seen=given["opened"] or given["seen"])
    return _desk(request, row, form, given["text"], desk=given["desk"], beside=clash)


def _take_theirs(request: HttpRequest, row: Revision, form: DraftForm) -> HttpResponse:
    """The text that is saved, with mine kept aside."""
    given = form.cleaned_data
    try:
        kept = actions.keep_typing(
            revision=row,
            by=request.user,
            desk=given["desk"],
            text=given["text"],
            reason=given["reason"],
            seen=given["opened"] or given["seen"],
            now=timezone.now(),
        )
    except Refused as refused:
        form.add_error(None, refused.message)
        return _desk(request, row, form, given["text"], desk=given["desk"])
    if kept is not None:
        messages.success(
            request,
            gettext("This is the saved text. Your own text is kept below until you delete it."),
        )
    return redirect("procedures:edit", name=row.writeup.name, number=row.number)


def _desk(
    request: HttpRequest,
    row: Revision,
    form: DraftForm,
    text: str,
    *,
    desk: str,
    beside: reports.Clash | None = None,
) -> HttpResponse:
    page = reports.desk_page(
        request.user, row, text, desk=desk, forks=_forks(request), beside=beside
    )
    return render(request, "procedures/edit.html", {"page": page, "form": form})


def _forks(request: HttpRequest) -> dict[str, str]:
    return {
        key.removeprefix(FORK): value
        for key, value in request.POST.items()
        if key.startswith(FORK) and isinstance(value, str)
    }


@require_POST
def check(request: HttpRequest, name: str, number: int) -> HttpResponse:
    """What stands beside the text and how it will be studied, for the page that is being typed on;
    nothing is kept.
    """
    row = doors.revision_to_write(request.user, name, number, today=timezone.localdate(shop_now()))
    form = TypingForm(request.POST)
    told = "" if form.is_valid() else _wrong(form)
    text = form.cleaned_data["text"] if not told else ""
    page = {"name": name, "number": number}
    checked = reports.check_text(row, text, _forks(request))
    return render(
        request,
        "procedures/_checked.html",
        {"page": page, "checked": checked, "told": told, "is_fragment": True},
    )


@require_POST
def keep_typing(request: HttpRequest, name: str, number: int) -> JsonResponse:
    """Keeps what was typed beside the draft. Answers when it was kept, or with 400 or 409 and a
    sentence.
    """
    row = doors.revision_to_write(request.user, name, number, today=timezone.localdate(shop_now()))
    form = TypingForm(request.POST)
    # Without the moment it was opened at, what is kept could not be told from a newer text later.
    if not form.is_valid() or form.cleaned_data["seen"] is None:
        return JsonResponse(
            {"said": _wrong(form) or gettext("This page is out of date. Open it again.")},
            status=400,
        )
    given, now = form.cleaned_data, timezone.now()
    try:
        actions.keep_typing(revision=row, by=request.user, now=now, **given)
    except Refused as refused:
        return JsonResponse({"said": refused.message}, status=409)
    return JsonResponse(
        {
            "said": gettext("Kept at {time}, not saved yet.").format(
                time=say_clock(now, seconds=True)
            )
        }
    )


def _wrong(form: TypingForm | DraftForm) -> str:
    return " ".join(str(error) for errors in form.errors.values() for error in errors)


@require_POST
def drop_typing(request: HttpRequest, name: str, number: int) -> HttpResponse:
    row = doors.revision_to_write(request.user, name, number, today=timezone.localdate(shop_now()))
    actions.drop_typing(revision=row, by=request.user, desk=request.POST.get("desk", ""))
    messages.success(request, gettext("The text that you typed is deleted."))
    return redirect("procedures:edit", name=name, number=number)
