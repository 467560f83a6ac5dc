"""How is a refusal told to a program? As problem details (RFC 9457)."""

from __future__ import annotations

import json
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from ninja import NinjaAPI, Schema
from ninja.errors import AuthenticationError, HttpError, ValidationError

from procedures.records.refused import Refused
from training.access.counted import TooMany

TITLES = {
    400: _("The question cannot be read"),
    401: _("A token that works is missing"),
    403: _("This token does not allow it"),
    404: _("There is no page at this address"),
    405: _("This address does not take this method"),
    422: _("The question does not fit the shop"),
    429: _("Too many questions in a minute"),
}


class Problem(Schema):
    """Problem details (RFC 9457)."""

    type: str = "about:blank"
    title: str
    status: int
    detail: str


class NotAllowed(Exception):
    """The token's scopes do not hold the one that is asked."""

    def __init__(self, scope: str) -> None:
        super().__init__(scope)
        self.scope = scope


class NotThere(Exception):
    """What is asked about is not in the shop."""


def problem(status: int, detail: str, **headers: str) -> HttpResponse:
    """The answer to a program for what cannot be done."""
    said = {"type": "about:blank", "title": str(TITLES[status]), "status": status, "detail": detail}
    return HttpResponse(
        json.dumps(said, ensure_ascii=False),
        content_type="application/problem+json",
        status=status,
        headers={name.replace("_", "-"): value for name, value in headers.items()},
    )


def tell_problems(api: NinjaAPI) -> None:
    """Every refusal of the API becomes problem details."""

    @api.exception_handler(AuthenticationError)
    def _no_token(request: HttpRequest, error: Exception) -> HttpResponse:
        detail = gettext("Send “Authorization: Bearer” with a token that has not ended.")
        return problem(401, detail, WWW_Authenticate="Bearer")

    @api.exception_handler(NotAllowed)
    def _other_scope(request: HttpRequest, error: Any) -> HttpResponse:
        detail = gettext("The token needs the scope {scope}.").format(scope=error.scope)
        return problem(403, detail)

    @api.exception_handler(NotThere)
    def _not_there(request: HttpRequest, error: Exception) -> HttpResponse:
        return problem(404, str(error))

    @api.exception_handler(Refused)
    def _refused(request: HttpRequest, error: Any) -> HttpResponse:
        return problem(422, error.message)

    @api.exception_handler(ValidationError)
    def _unreadable(request: HttpRequest, error: Any) -> HttpResponse:
        # One at a time: a program's author mends them one by one, and the rest may follow from it.
        first = error.errors[0]
        where = ".".join(str(part) for part in first.get("loc", ()))
        return problem(422, f"{where}: {first.get('msg', '')}")

    @api.exception_handler(HttpError)
    def _http(request: HttpRequest, error: Any) -> HttpResponse:
        status = error.status_code if error.status_code in TITLES else 400
        return problem(status, str(error))

    @api.exception_handler(TooMany)
    def _too_many(request: HttpRequest, error: Any) -> HttpResponse:
        detail = gettext("Ask again in {seconds} s.").format(seconds=error.seconds)
        return problem(429, detail, Retry_After=str(error.seconds))
