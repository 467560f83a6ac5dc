"""What is answered to whoever is not signed in?"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.http import HttpRequest

from training.views.typed import ask_to_sign_in


class SignInAndGoOn(LoginRequiredMiddleware):
    """To the sign-in page; a form that was sent comes back filled after it. The mark against
    forgery has been looked at before.
    """

    def handle_no_permission(self, request: HttpRequest, view_func: Callable[..., Any]) -> Any:
        # Forgery is checked further out, so what is kept was sent from a page of ours.
        asked = ask_to_sign_in(request) if request.method == "POST" else None
        return asked or super().handle_no_permission(request, view_func)
