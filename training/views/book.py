"""Is the record book whole, and what stands in it?"""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from training import access
from training.reports.book import book_page


@require_safe
def book(request: HttpRequest) -> HttpResponse:
    access.must(access.who(request), "training.see_book")
    page = book_page(request.GET.get("page", "1"), check=request.GET.get("check") == "yes")
    return render(request, "training/book.html", {"book": page})
