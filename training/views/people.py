"""Who works here, and who may sign off what? The owner's pages."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from procedures.records.days.reader import say_day
from procedures.records.refused import Refused
from procedures.views.forms.search import page_of
from training.access import acts, doors
from training.actions import people as actions
from training.actions.accounts import check_own_hand
from training.actions.appointing import end_appointment as end_action
from training.actions.once import is_taken, write_once
from training.actions.second_factor import has_factor
from training.actions.signing import appoint as appoint_action
from training.models import Appointment, User, roles
from training.reports.front import has_photo
from training.reports.person import appointments_of, open_standdowns
from training.standing.rules.here import has_left
from training.views.forms.evidence import EndAppointmentForm
from training.views.forms.lists import PeopleSearch
from training.views.forms.people import AppointForm, NewPersonForm, PersonForm
from training.views.second_factor import give_code
from training.views.way_on import go_further

PEOPLE_A_PAGE = 40
METHODS = ["GET", "HEAD", "POST"]


@require_safe
def people(request: HttpRequest) -> HttpResponse:
    doors.must(doors.who(request), acts.KEEP_PEOPLE)
    search = PeopleSearch(request.GET or None)
    said = search.said()
    rows = [
        row
        for row in User.objects.select_related("workshop").order_by("workshop__name", "name")
        if said.get("trade", "") in {"", row.trade, *([roles.OWNER] if row.owner else [])}
        and said.get("workshop", "") in {"", row.workshop.name}
        and search.has_words(row.name, row.login)
    ]
    # A stable sort: those who left come last, each part still by workshop and name.
    rows.sort(key=lambda row: row.left is not None)
    shown = page_of(request, rows, PEOPLE_A_PAGE)
    left = gettext("Left the shop")
    places = [(left if row.left else row.workshop.name, row) for row in shown]
    context = {"people": shown, "places": places, "search": search}
    return render(request, "training/people.html", context)


@require_http_methods(METHODS)
def new(request: HttpRequest) -> HttpResponse:
    user = doors.who(request)
    doors.must(user, acts.KEEP_PEOPLE)
    form = NewPersonForm(
        request.POST or None, initial={"started": user.workshop.today(), "workshop": user.workshop}
    )
    if form.is_valid():
        given = dict(form.cleaned_data)
        given.pop("is_active")
        try:
            person = actions.add_person(by=user, **given)
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(
                request,
                gettext(
                    "{person_name} is added. Give a link next, so that this person can sign in."
                ).format(person_name=person.name),
            )
            return go_further(request, reverse("training:person-link", args=[person.login]))
    return render(request, "training/new_person.html", {"form": form})


@require_http_methods(METHODS)
def person(request: HttpRequest, login: str) -> HttpResponse:
    user = doors.who(request)
    row = doors.person_for(user, login, acts.KEEP_PEOPLE)
    form = PersonForm(request.POST or None, initial=_as_form(row))
    if form.is_valid():
        try:
            actions.change_person(person=row, by=user, **form.cleaned_data)
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(
                request, gettext("{name} is saved.").format(name=form.cleaned_data["name"])
            )
            return redirect("training:people")
    return _person_page(
        request,
        row,
        form,
        AppointForm(initial={"first": user.workshop.today()}, with_code=has_factor(user)),
    )


@require_http_methods(["POST"])
def appoint(request: HttpRequest, login: str) -> HttpResponse:
    user = doors.who(request)
    row = doors.person_for(user, login, acts.APPOINT)
    form = AppointForm(request.POST, with_code=has_factor(user))
    if form.is_valid():
        given = dict(form.cleaned_data)
        try:
            # Before the code, which can be used once and must not be spent on a refusal.
            check_own_hand(user, timezone.now())
            mark, code = given.pop("mark"), given.pop("code", "")
            # A form sent twice carries the same code, which would be refused the second time.
            if not is_taken(Appointment, person=user, mark=mark):
                give_code(request, user, code)
            done = write_once(
                Appointment,
                person=user,
                mark=mark,
                write=lambda: appoint_action(person=row, by=user, **given),
            )
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(
                request,
                done.told(
                    gettext("{name} may sign off {level}.").format(
                        name=row.name, level=given["level"]
                    )
                ),
            )
            return redirect("training:person", login=login)
    return _person_page(request, row, PersonForm(initial=_as_form(row)), form)


@require_POST
def end_appointment(request: HttpRequest, pk: int) -> HttpResponse:
    user = doors.who(request)
    row = doors.appointment_to_end(user, pk)
    form = EndAppointmentForm(request.POST)
    if form.is_valid():
        try:
            end_action(appointment=row, until=form.cleaned_data["until"], by=user)
        except Refused as refused:
            messages.error(request, refused.message)
        else:
            messages.success(
                request,
                gettext("{name} signs off {level} until {day}.").format(
                    name=row.person.name, level=row.level, day=say_day(form.cleaned_data["until"])
                ),
            )
    else:
        messages.error(request, gettext("Choose the last day of the appointment."))
    return redirect("training:person", login=row.person.login)


def _as_form(row: User) -> dict[str, Any]:
    names = ("name", "trade", "owner", "workshop", "started", "left", "is_active")
    return {name: getattr(row, name) for name in names}


def _person_page(
    request: HttpRequest, row: User, form: PersonForm, appoint_form: AppointForm
) -> HttpResponse:
    context = {
        "person": row,
        "has_photo": has_photo(row),
        "form": form,
        "appoint_form": appoint_form,
        "appointments": appointments_of(row, row.workshop.today()),
        "end_form": EndAppointmentForm(initial={"until": row.workshop.today()}),
        "has_left": has_left(row, row.workshop.today()),
        "standdowns": open_standdowns(row),
        "may_be_appointed": acts.SIGN.is_open_to(row),
    }
    return render(request, "training/person.html", context)
