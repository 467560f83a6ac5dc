"""What does the shop hold about me, or about somebody of the owner's people?"""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from procedures.views.forms.search import page_of
from training.access import acts, doors
from training.models import User, shop_now
from training.reports.record import person_record
from training.views.forms.lists import RecordSearch

LINES_A_PAGE = 40


@require_safe
def own(request: HttpRequest) -> HttpResponse:
    return _page(request, doors.who(request))


@require_safe
def of_person(request: HttpRequest, login: str) -> HttpResponse:
    return _page(request, doors.person_for(doors.who(request), login, acts.KEEP_PEOPLE))


def _page(request: HttpRequest, person: User) -> HttpResponse:
    """The newest of each kind; the whole of it, to print; or what was looked for, page by page."""
    record = person_record(person, shop_now())
    search = RecordSearch(request.GET or None, [(one.code, one.title) for one in record.parts])
    context = {"record": record, "search": search, "whole": request.GET.get("whole") == "yes"}
    if search.is_asked():
        kind = search.said().get("kind")
        found = [
            (part.title, line)
            for part in record.parts
            if kind in {"", part.code}
            for line in part.lines
            if search.has_words(part.title, line.text, line.note)
        ]
        found.sort(key=lambda pair: pair[1].on, reverse=True)
        context["found"] = page_of(request, found, LINES_A_PAGE)
    return render(request, "training/record.html", context)
