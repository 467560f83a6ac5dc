"""Where does somebody find words in all write-ups?"""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from procedures.records.above import shop_now
from procedures.reports.finding import find_page

LONGEST = 200


@require_safe
def find(request: HttpRequest) -> HttpResponse:
    asked = " ".join(request.GET.get("words", "").split())[:LONGEST]
    page = find_page(asked, today=timezone.localdate(shop_now()))
    return render(request, "procedures/find.html", {"page": page})
