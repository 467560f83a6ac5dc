"""Is a write only acknowledged where the records still are, and does every refusal come in plain
words?
"""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string

from training.records.opened_file import must_be_there

SAFE = ("GET", "HEAD", "OPTIONS", "TRACE")
NOT_ALLOWED = 405


class Guard:
    """Looks where the records are before anything is done, and again before a write is
    acknowledged.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        # SQLite goes on writing into a file that was deleted, and all of it would be lost.
        must_be_there()
        answer = self.get_response(request)
        if request.method not in SAFE:
            must_be_there()
        # Django's answer to a wrong method is empty.
        if answer.status_code == NOT_ALLOWED and not answer.streaming and not answer.content:
            answer.content = render_to_string("405.html").encode()
        return answer
