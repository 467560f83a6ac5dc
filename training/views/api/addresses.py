"""Which addresses lead to the API?"""

from __future__ import annotations

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.urls import URLPattern, URLResolver, path
from django.utils.translation import gettext
from django.views.decorators.csrf import csrf_exempt

from training.views.api.api import api
from training.views.api.problems import problem

Address = URLPattern | URLResolver


@csrf_exempt
@login_not_required
def nowhere(request: HttpRequest, rest: str = "") -> HttpResponse:
    """Under /api/ even what is not there is told as a program reads it."""
    text = gettext("There is nothing at {address}. See /api/openapi.json.")
    return problem(404, text.format(address=f"/api/{rest}"))


def addresses() -> tuple[list[Address], str]:
    """The addresses of the API; none of them asks for a sign-in, since a token is asked for."""
    found, app, _namespace = api.urls
    for one in found:
        if isinstance(one, URLPattern):
            # The site's middleware would answer a program with the address of a page to sign in.
            login_not_required(one.callback)
    # Last, so that it takes only what no address of the API takes.
    return [*found, path("<path:rest>", nowhere, name="nowhere")], str(app)
