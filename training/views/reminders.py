"""Who wants a daily mail, how does it stop, and what is there to print where there is no mail?"""

from __future__ import annotations

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_safe

from procedures.records.refused import Refused
from training.access import doors
from training.actions.reminders import set_wish, stop_mail
from training.models import MailWish, shop_now
from training.reports.reminders import last_reminder, printed_list
from training.reports.stop_mail import wish_at
from training.views.forms.reminders import WishForm

METHODS = ["GET", "HEAD", "POST"]


@require_http_methods(METHODS)
def own(request: HttpRequest) -> HttpResponse:
    user = doors.who(request)
    wish = MailWish.objects.filter(person=user).first()
    initial = {"address": wish.address, "is_wanted": wish.is_wanted} if wish else {}
    form = WishForm(request.POST or None, initial=initial)
    if form.is_valid():
        try:
            kept = set_wish(person=user, now=timezone.now(), **form.cleaned_data)
        except Refused as refused:
            form.add_error(None, [refused.message, *refused.details])
        else:
            said = (
                gettext("Saved. You get one mail a day.")
                if kept.is_wanted
                else gettext("Saved. You get no mail.")
            )
            messages.success(request, said)
            return redirect("training:reminders")
    context = {
        "form": form,
        "has_mail": bool(settings.EMAIL_HOST),
        "last": last_reminder(user),
        "may_print": user.has_perm("training.keep_people"),
    }
    return render(request, "training/reminders.html", context)


@require_safe
def printed(request: HttpRequest) -> HttpResponse:
    """Everybody's reminders on paper, for the owner of a shop without mail."""
    user = doors.who(request)
    doors.must(user, "training.keep_people")
    today = user.workshop.today()
    people = printed_list(on=today, now=shop_now())
    return render(request, "training/reminders_list.html", {"people": people, "on": today})


# Exempt from the mark against forgery: a mail program posts here by itself (RFC 8058, 3.2), without
# a page of ours; the seal in the address is the mark.
@csrf_exempt
@login_not_required
@never_cache
@require_http_methods(METHODS)
def stop(request: HttpRequest, number: int, seal: str) -> HttpResponse:
    """Stops one person's daily mail by the link in it. Opening it stops nothing, so that a program
    that looks at links before people do does no harm.
    """
    wish = wish_at(number, seal)
    if wish is None:
        raise Http404
    if request.method == "POST":
        stop_mail(wish=wish, now=timezone.now())
        wish.is_wanted = False
    page = render(request, "training/stop_mail.html", {"is_stopped": not wish.is_wanted})
    page["X-Robots-Tag"] = "noindex, nofollow"
    page["Referrer-Policy"] = "no-referrer"
    return page
