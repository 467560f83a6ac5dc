"""What does a program get that watches this machine?"""

from __future__ import annotations

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from training.access.counted import TooMany
from training.actions.programs import take_program
from training.models import shop_now
from training.models.programs import METRICS_READ

BEARER = "Bearer "


@login_not_required
@never_cache
@require_safe
def metrics(request: HttpRequest) -> HttpResponse:
    """The numbers, for a token of their scope (RFC 6750)."""
    # Not with the site: its library is slow to load, and few shops ask.
    from prometheus_client import CONTENT_TYPE_PLAIN_0_0_4

    from training.exchange.machine.metrics import write_metrics

    now = shop_now()
    given = request.headers.get("Authorization", "")
    try:
        token = (
            take_program(request=request, token=given.removeprefix(BEARER), now=now)
            if given.startswith(BEARER)
            else None
        )
    except TooMany as many:
        refused = _say(gettext("Too many questions. Ask again in a minute."), 429)
        refused["Retry-After"] = str(many.seconds)
        return refused
    if token is None:
        refused = _say(gettext("This needs a program's token."), 401)
        refused["WWW-Authenticate"] = "Bearer"
        return refused
    if METRICS_READ not in token.scopes:
        return _say(gettext("This token may not read the state of the machine."), 403)
    return HttpResponse(write_metrics(now), content_type=CONTENT_TYPE_PLAIN_0_0_4)


def _say(text: str, status: int) -> HttpResponse:
    return HttpResponse(text, content_type="text/plain; charset=utf-8", status=status)
