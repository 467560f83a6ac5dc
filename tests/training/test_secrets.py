"""Does any page tell somebody in the middle of a quiz what is right in it?"""

import pytest
from django.urls import reverse

from tests.pages import ROUTES
from tests.quizzes.test_survives import SECRETS
from tests.training.shop import NOW, small_shop, with_something_on_every_page

TELLS = "quizzes:result"  # of a sitting that has ended: there, what is right is the point


@pytest.fixture
def everything(db, time_machine):
    time_machine.move_to(NOW, tick=False)
    return with_something_on_every_page(small_shop())


def opened(shop, browser):
    """Every page that the trainee can open while a sitting is open, by its route; redirects are followed."""
    for route in ROUTES:
        if route.method == "get" and route.status("trainee") in {200, 302}:
            yield route.name, browser.get(reverse(route.name, args=[shop.args[arg] for arg in route.args]), follow=True)


def test_no_page_tells_what_is_right_before_the_sitting_ends(everything, as_):
    told, pages = {}, 0
    for name, answer in opened(everything, as_(everything.trainee)):
        text = b"".join(answer).decode(errors="replace") if answer.streaming else answer.content.decode(errors="replace")
        told[name] = [secret for secret in SECRETS if secret in text]
        pages += 1
    assert pages > 20
    assert {name for name, secrets in told.items() if secrets} == {TELLS}
