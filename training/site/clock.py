"""Which day is it for the person who asks?"""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from training.models import User


class WorkshopTime:
    """While a page is made, the clock on the wall is that of the person's workshop."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if not isinstance(request.user, User):
            return self.get_response(request)
        # Dates without a time are dates of the workshop (standing), and so are those on a page.
        with timezone.override(request.user.workshop.time_zone):
            return self.get_response(request)
