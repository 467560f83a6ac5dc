"""What does the shop hold about me, or about somebody of the owner's people?"""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from procedures.views.forms.search import page_of
from quizzes.access.closing import must_not_be_sitting, sitting_in_the_way
from training.access import acts, doors
from training.exchange.own_record import zip_of_own
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


@never_cache
@require_safe
def own_files(request: HttpRequest) -> HttpResponse:
    """One's own record as one file: tables, JSON, and each sign-off that counts."""
    user = doors.who(request)
    must_not_be_sitting(user.pk)  # it holds the answers that were given
    packed = zip_of_own(person=user, now=shop_now(), address=request.build_absolute_uri("/"))
    name = f"record-{user.login}-{user.workshop.today():%Y-%m-%d}.zip"
    return HttpResponse(
        packed,
        content_type="application/zip",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )


def _page(request: HttpRequest, person: User) -> HttpResponse:
    """The newest of each kind; the whole of it, to print; or what was looked for, page by page."""
    record = person_record(person, shop_now())
    search = RecordSearch(request.GET or None, [(one.code, one.title) for one in record.parts])
    user = doors.who(request)
    context = {
        "record": record,
        "search": search,
        "whole": request.GET.get("whole") == "yes",
        # Not offered where it would be refused.
        "may_take": person == user and sitting_in_the_way(user.pk) is None,
    }
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
