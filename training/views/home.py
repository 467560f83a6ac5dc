"""What does somebody see first, and is the site up?"""

from django.contrib.auth.decorators import login_not_required
from django.db import connection
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from training import access
from training.actions.visits import note_visit
from training.models import shop_now
from training.reports.home import home_page


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    user = access.who(request)
    today = user.workshop.today()
    page = home_page(user, on=today, now=shop_now(), since=note_visit(person=user, today=today))
    return render(request, "training/home.html", {"page": page})


@login_not_required
@require_safe
def healthz(request: HttpRequest) -> HttpResponse:
    """Says ok when the database answers."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
    return HttpResponse("ok", content_type="text/plain")
