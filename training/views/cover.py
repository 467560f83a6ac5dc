"""Where are too few people who may work alone, in the next weeks?"""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from training import access
from training.forms import CoverForm
from training.reports.cover_page import cover_page


@require_safe
def cover(request: HttpRequest) -> HttpResponse:
    user = access.who(request)
    access.must(user, "training.see_everyone")
    form = CoverForm(request.GET or None)
    page = cover_page(form.asked(), on=user.workshop.today(), now=timezone.now())
    return render(request, "training/cover.html", {"page": page, "form": form})
