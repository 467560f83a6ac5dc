"""Who works when, who is away, and how many alone are wanted? The owner's pages; seniors may
look.
"""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from procedures.records.refused import Refused
from training.access import acts, doors
from training.actions import rota as actions
from training.models import DAYS, Absence, User, Want, Workshop
from training.reports.levels import level_title, level_titles
from training.reports.rota import counts_wanted, people_on_rota, shifts_of, weekdays_now
from training.views import undoing
from training.views.forms.rota import AbsenceForm, ShiftForm, WantForm
from training.views.way_on import go_further

METHODS = ["GET", "HEAD", "POST"]


@require_safe
def rota(request: HttpRequest) -> HttpResponse:
    user = doors.who(request)
    doors.must(user, acts.SEE_EVERYONE)
    context = {
        "people": people_on_rota(user.workshop.today()),
        "wanted": counts_wanted(level_titles()),
        "may_change": acts.KEEP_ROTA.is_open_to(user),
        "undo": undoing.offered(request) if acts.KEEP_ROTA.is_open_to(user) else None,
    }
    return render(request, "training/rota.html", context)


@require_http_methods(METHODS)
def person(request: HttpRequest, login: str) -> HttpResponse:
    """Somebody's weekdays and absences; which of the two forms was sent says its button."""
    user = doors.who(request)
    row = doors.person_for(user, login, acts.KEEP_ROTA)
    today = user.workshop.today()
    sent = request.POST.get("what", "") if request.method == "POST" else ""
    shift = ShiftForm(
        request.POST if sent == "shift" else None,
        initial={"workshop": row.workshop, "first": today, "weekdays": weekdays_now(row, today)},
    )
    away = AbsenceForm(request.POST if sent == "away" else None)
    if sent == "shift" and shift.is_valid():
        # Rota and wants are no entries of the book: they can be put back, where evidence only adds.
        before = actions.shift_rows(row)
        actions.set_shift(person=row, by=user, **shift.cleaned_data)
        said = gettext("The weekdays of {name} are saved.").format(name=row.name)
        after = actions.shift_rows(row)
        undoing.remember(request, what="shift", said=said, key=login, before=before, after=after)
        messages.success(request, said)
        return go_further(request, request.path)
    if sent == "away" and away.is_valid():
        try:
            absence = actions.add_absence(person=row, by=user, **away.cleaned_data)
        except Refused as refused:
            away.add_error(None, refused.message)
        else:
            added = actions.absence_row(row, absence.pk)
            said = gettext("The absence of {name} is saved.").format(name=row.name)
            undoing.remember(request, what="away", said=said, key=login, before=None, after=added)
            messages.success(request, said)
            return go_further(request, request.path)
    absences = Absence.objects.filter(person=row, until__gte=today).order_by("first")
    context = {
        "person": row,
        "shifts": shifts_of(row, today),
        "absences": absences,
        "shift_form": shift,
        "away_form": away,
        "undo": undoing.offered(request),
    }
    return render(request, "training/rota_person.html", context)


@require_POST
def not_away(request: HttpRequest, login: str, pk: int) -> HttpResponse:
    """An absence that does not take place."""
    user = doors.who(request)
    row = doors.person_for(user, login, acts.KEEP_ROTA)
    before = actions.absence_row(row, pk)
    try:
        actions.drop_absence(person=row, pk=pk, by=user)
    except Refused as refused:
        raise Http404(refused.message) from refused
    said = gettext("The absence of {name} is taken out.").format(name=row.name)
    undoing.remember(request, what="away", said=said, key=login, before=before, after=None)
    messages.success(request, said)
    return redirect("training:rota-person", login=login)


@require_POST
def undo(request: HttpRequest) -> HttpResponse:
    """What this person saved last of weekdays, absences or what is wanted is as it was before."""
    user = doors.who(request)
    doors.must(user, acts.KEEP_ROTA)
    kept = undoing.taken(request)
    if kept is None:
        messages.error(request, gettext("There is nothing to undo."))
        return redirect("training:rota")
    try:
        _put_back(user, **kept)
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, gettext("Undone. It is as it was before."))
    return redirect("training:rota")


def _put_back(by: User, *, what: str, key: Any, before: Any, after: Any, said: str) -> None:
    if what in ("shift", "away"):
        person = get_object_or_404(User, login=key)
        put_back = actions.put_back_shifts if what == "shift" else actions.put_back_absence
        put_back(person=person, before=before, after=after, by=by)
    else:
        place = get_object_or_404(Workshop, pk=key[0])
        level = doors.level_named(key[1])
        actions.put_back_want(workshop=place, level=level, before=before, after=after, by=by)


@require_http_methods(METHODS)
def want(request: HttpRequest, workshop: int, level: str) -> HttpResponse:
    user = doors.who(request)
    doors.must(user, acts.KEEP_ROTA)
    place, row = get_object_or_404(Workshop, pk=workshop), doors.level_named(level)
    there = Want.objects.filter(workshop=place, level=row).first()
    form = WantForm(request.POST or None, initial={day: getattr(there, day, 0) for day in DAYS})
    if form.is_valid():
        before = actions.want_counts(place, row)
        actions.set_want(workshop=place, level=row, counts=form.counts(), by=user)
        said, after = (
            gettext("The number of people you need is saved."),
            actions.want_counts(place, row),
        )
        key = [place.pk, level]
        undoing.remember(request, what="want", said=said, key=key, before=before, after=after)
        messages.success(request, said)
        return redirect("training:rota")
    return render(
        request,
        "training/want.html",
        {"form": form, "place": place, "title": level_title(level, user.workshop.today())},
    )
