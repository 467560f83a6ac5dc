"""How does somebody say which fork is studied?"""

from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

from procedures.access import doors
from procedures.actions.studying import keep_fork
from procedures.records.above import shop_now
from procedures.records.refused import Refused


@require_POST
def fork(request: HttpRequest, name: str) -> HttpResponse:
    """Keeps the options and goes back to the page that asked, with them in its address so that it
    can be passed on.
    """
    revision = doors.revision_named(
        request.user, name, request.POST.get("_revision", ""), today=timezone.localdate(shop_now())
    )
    chosen = request.POST.dict()
    try:
        kept = keep_fork(revision=revision, person=request.user, chosen=chosen)
    except Refused as refused:
        messages.error(request, refused.message)
        kept = {}
    if chosen.get("_all") == "yes":
        kept["_all"] = "yes"
    back = chosen.get("_back", "")
    # The address comes with the form: without this the page would lead to any site.
    if not url_has_allowed_host_and_scheme(back, allowed_hosts=None) or not back.startswith("/"):
        return redirect("procedures:current", name=name)
    return redirect(f"{back}?{urlencode(kept)}" if kept else back)
