"""Is the record book whole, and what stands in it?"""

from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_safe

from quizzes.access.closing import must_not_be_sitting
from training.access import acts, doors
from training.exchange.backups.book_lines import book_lines
from training.records.keeping import head
from training.reports.book import book_page, people_and_kinds
from training.views.forms.lists import BookSearch
from training.views.second_factor import code_asked

# Fifteen digits stay below the largest number of a database (2⁶³).
LONGEST = 15  # digits of an entry's number


@require_safe
def book(request: HttpRequest) -> HttpResponse:
    user = doors.who(request)
    doors.must(user, acts.SEE_BOOK)
    search = BookSearch(request.GET or None, *people_and_kinds())
    # A name that the form refuses must find nothing, not everything.
    said = {**request.GET.dict(), **search.said()}  # whom nobody knows has no entries
    page = book_page(
        request.GET.get("page", "1"),
        person=said.get("person", ""),
        kind=said.get("kind", ""),
        check_from=_check_from(request),
    )
    may_take_out = acts.TAKE_OUT.is_open_to(user)
    context = {"book": page, "search": search, "may_take_out": may_take_out}
    return render(request, "training/book.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def export(request: HttpRequest) -> HttpResponseBase:
    """The whole book as JSON lines, its head first and in the file's name. Whoever has a second
    factor gives a code first.
    """
    user = doors.who(request)
    doors.must(user, acts.TAKE_OUT)
    must_not_be_sitting(user.pk)  # it holds the questions with their answers
    asked = code_asked(request, user, gettext("Take the record book out"), reverse("training:book"))
    if asked:
        return asked
    number, digest = head()
    name = f"record-book-{number}-{digest[:12]}.jsonl"
    return StreamingHttpResponse(
        book_lines(),
        content_type="application/jsonl",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )


def _check_from(request: HttpRequest) -> int:
    """The entry from which to check; 0 where no check was asked for."""
    if request.GET.get("check") != "yes":
        return 0
    first = request.GET.get("from", "1")
    return (
        int(first)
        if first.isascii() and first.isdigit() and len(first) <= LONGEST and int(first)
        else 1
    )
