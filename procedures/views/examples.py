"""What do the buttons of something from the examples do?"""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_POST

from procedures.access import acts, doors
from procedures.actions import examples as actions
from procedures.models import Thing
from procedures.records.above import shop_now
from procedures.records.refused import Refused


@require_POST
def confirm_values(request: HttpRequest, name: str, number: int) -> HttpResponse:
    """Confirms the values that were ticked, and goes back to those that are left."""
    row = doors.revision_to_write(request.user, name, number, today=timezone.localdate(shop_now()))
    try:
        count = actions.confirm_values(
            revision=row,
            names=set(request.POST.getlist("value")),
            by=request.user,
            now=timezone.now(),
        )
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        said = ngettext("{count} value is confirmed.", "{count} values are confirmed.", count)
        messages.success(request, said.format(count=count))
    return redirect("procedures:revision", name=name, number=number)


@require_POST
def read_example(request: HttpRequest) -> HttpResponse:
    """Notes that the rules, or a level, from the examples were gone through for this shop."""
    acts.READ_EXAMPLE.must_be_open_to(request.user)
    # A write-up is gone through at its release and not by this button.
    thing = Thing.RULES if request.POST.get("thing") == Thing.RULES else Thing.LEVEL
    name = request.POST.get("name", "")[:80] if thing == Thing.LEVEL else ""
    back = request.POST.get("next", "")
    try:
        actions.mark_as_read(thing=thing, name=name, by=request.user, now=timezone.now())
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, gettext("Saved: you have gone through it for this shop."))
    is_ours = url_has_allowed_host_and_scheme(back, allowed_hosts=None)
    return redirect(back if is_ours else "procedures:rules")
