"""What does somebody see who may not see a page, because of an open sitting or at all?"""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.csrf import requires_csrf_token
from django.views.defaults import permission_denied

from quizzes.access.closing import InTheMiddle


@requires_csrf_token
def forbidden(request: HttpRequest, exception: Exception) -> HttpResponse:
    """The page of a 403: the way back to an open sitting where that is why, else the site's own."""
    if isinstance(exception, InTheMiddle):
        return render(
            request, "quizzes/in_the_middle.html", {"sitting": exception.sitting}, status=403
        )
    return permission_denied(request, exception)
