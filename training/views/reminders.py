"""Who wants a daily mail and where, how does it stop, and what is there to print without mail?"""

from __future__ import annotations

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.core.signing import BadSignature
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_safe

from procedures.records.refused import Refused
from training.access import acts, doors
from training.actions.reminders import confirm_address, stop_mail
from training.exchange.sending.mail_address import save_wish, send_link
from training.models import MailWish, shop_now
from training.reports.confirm_mail import wish_of_link
from training.reports.reminders import last_reminder, printed_list
from training.reports.stop_mail import wish_at
from training.views.forms.reminders import WishForm

METHODS = ["GET", "HEAD", "POST"]


@require_http_methods(METHODS)
def own(request: HttpRequest) -> HttpResponse:
    user = doors.who(request)
    wish = MailWish.objects.filter(person=user).first()
    if wish and request.method == "POST" and request.POST.get("do") == "link":
        return _send_link(request, wish)
    initial = {"address": wish.address, "is_wanted": wish.is_wanted} if wish else {}
    form = WishForm(request.POST or None, initial=initial)
    if form.is_valid():
        try:
            kept = save_wish(person=user, now=timezone.now(), **form.cleaned_data)
        except Refused as refused:
            form.add_error(None, [refused.message, *refused.details])
        else:
            return _saved(request, kept)
    context = {
        "form": form,
        "wish": wish,
        "has_mail": bool(settings.EMAIL_HOST),
        "last": last_reminder(user),
        "may_print": acts.KEEP_PEOPLE.is_open_to(user),
    }
    return render(request, "training/reminders.html", context)


def _saved(request: HttpRequest, wish: MailWish) -> HttpResponse:
    """Says what was saved; an address that is new here gets its link at once."""
    if not wish.is_wanted:
        messages.success(request, gettext("Saved. You get no mail."))
    elif wish.confirmed_at:
        messages.success(request, gettext("Saved. You get one mail a day."))
    elif wish.asked_at is None and settings.EMAIL_HOST:
        messages.success(request, gettext("Saved."))
        return _send_link(request, wish)
    else:
        messages.success(request, gettext("Saved. The address is not confirmed yet."))
    return redirect("training:reminders")


def _send_link(request: HttpRequest, wish: MailWish) -> HttpResponse:
    try:
        if wish.confirmed_at is None:
            send_link(wish, now=timezone.now())
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        said = gettext("A link is on its way to {address}. Open it, and the reminders begin.")
        messages.success(request, said.format(address=wish.address))
    return redirect("training:reminders")


@require_safe
def printed(request: HttpRequest) -> HttpResponse:
    """Everybody's reminders on paper, for the owner of a shop without mail."""
    user = doors.who(request)
    doors.must(user, acts.KEEP_PEOPLE)
    today = user.workshop.today()
    people = printed_list(on=today, now=shop_now())
    return render(request, "training/reminders_list.html", {"people": people, "on": today})


@login_not_required
@never_cache
@require_http_methods(METHODS)
def confirm(request: HttpRequest, token: str) -> HttpResponse:
    """Confirms an address by the link that was sent there. Opening it confirms nothing, so that a
    program that looks at links before people do does not.
    """
    try:
        wish = wish_of_link(token)
    except BadSignature as forged:
        raise Http404 from forged
    is_confirmed = False
    if wish and request.method == "POST":
        try:
            confirm_address(wish=wish, now=timezone.now())
            is_confirmed = True
        except Refused:
            wish = None
    context = {"wish": wish, "is_confirmed": is_confirmed}
    status = 200 if wish else 410
    return _seen_by_anybody(render(request, "training/confirm_mail.html", context, status=status))


def _seen_by_anybody(page: HttpResponse) -> HttpResponse:
    """The address is the key to this page: no list finds it, and no link tells it."""
    page["X-Robots-Tag"] = "noindex, nofollow"
    page["Referrer-Policy"] = "no-referrer"
    return page


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
    context = {"is_stopped": not wish.is_wanted}
    return _seen_by_anybody(render(request, "training/stop_mail.html", context))
