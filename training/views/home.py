"""What does somebody see first, and is the site up?"""

from django.contrib.auth.decorators import login_not_required
from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from training.access import acts, doors
from training.actions.visits import note_visit
from training.exchange.backups.last_backup import tell_backup_due
from training.models import shop_now
from training.records.clock import clock_fault
from training.records.lag import find_lag, say_lag
from training.records.probe import find_trouble
from training.records.replica import has_replica
from training.reports.home import home_page
from training.reports.refusals import tell_burst
from training.reports.start import start_for


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    user = doors.who(request)
    today = user.workshop.today()
    start = start_for(user, today)
    if start is not None and start.is_open:
        return redirect("training:start")
    try:
        since = note_visit(person=user, today=today)
    except DatabaseError:  # a full disk or a lock: what there is can still be read
        since = None
    page = home_page(user, on=today, now=shop_now(), since=since)
    # Nobody backs up a shop that is made up.
    watches = acts.TAKE_OUT.is_open_to(user) and not user.workshop.is_demo
    context = {
        "page": page,
        "start": start,
        "backup_worry": tell_backup_due(timezone.now()) if watches else "",
        "refused": tell_burst(timezone.now()) if acts.SEE_REFUSALS.is_open_to(user) else "",
        "clock_fault": clock_fault() if acts.SEE_EVERYONE.is_open_to(user) else "",
    }
    return render(request, "training/home.html", context)


@login_not_required
@require_safe
def healthz(request: HttpRequest) -> HttpResponse:
    """Says ok when the site could take a record right now; else 503 and a word for what is wrong.
    Within a second.
    """
    # The reason in words, since a monitor shows nothing but this line.
    wrong = find_trouble() or ("clock behind" if clock_fault() else "")
    # A replica that is away is told and no fault: the primary answers for it.
    fine = f"ok, {say_lag(find_lag())}" if has_replica() and not wrong else "ok"
    return HttpResponse(wrong or fine, content_type="text/plain", status=503 if wrong else 200)
