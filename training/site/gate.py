"""What must somebody who has signed in do before anything else?"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from training.access.sessions import SET_UP
from training.actions.accounts import must_choose
from training.models import User

# Without these there would be no way out of the gate, and a monitor would be redirected.
ALWAYS = frozenset({"logout", "password_change", "password_change_done", "training:healthz"})


class FirstThingsFirst:
    """Whose password was set by somebody else chooses one of their own before any other page opens,
    and whose role needs a second factor sets it up.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: object, args: Any, kwargs: Any
    ) -> HttpResponse | None:
        route = request.resolver_match.view_name if request.resolver_match else ""
        if not isinstance(request.user, User) or route in ALWAYS:
            return None
        # The password first: whoever set it could set up the second factor too.
        if must_choose(request.user):
            return redirect("password_change")
        if request.session.get(SET_UP) and route != "training:second-factor":
            return redirect("training:second-factor")
        return None
