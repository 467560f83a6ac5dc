"""What does the shop hold about me, or about somebody of the owner's people?"""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from training.access import acts, doors
from training.models import User, shop_now
from training.reports.record import person_record


@require_safe
def own(request: HttpRequest) -> HttpResponse:
    return _page(request, doors.who(request))


@require_safe
def of_person(request: HttpRequest, login: str) -> HttpResponse:
    return _page(request, doors.person_for(doors.who(request), login, acts.KEEP_PEOPLE))


def _page(request: HttpRequest, person: User) -> HttpResponse:
    return render(request, "training/record.html", {"record": person_record(person, shop_now())})
