"""Does any page tell somebody in the middle of a quiz what is right in it?"""

import pytest
from django.urls import reverse

from quizzes.actions.sittings import start_sitting
from tests.pages import ROUTES
from tests.put_in import put_in
from tests.quizzes.test_survives import SECRETS
from tests.training.shop import NOW, TODAY, busy_shop

# Where a write-up is written it shows how an amount is, and the demo question asks for just
# that one.
ITS_OWN_EXAMPLE = dict.fromkeys(
    ("procedures:edit", "procedures:form-part", "procedures:form-add"), ("28 ± 2",)
)


@pytest.fixture
def everything(db, time_machine):
    time_machine.move_to(NOW, tick=False)
    return put_in(busy_shop)


def opened(shop, browser):
    """Every page of the site, by its route, whatever comes of asking for it; redirects are
    followed.
    """
    for route in ROUTES:
        if route.method == "get":
            yield (
                route.name,
                browser.get(
                    reverse(route.name, args=[shop.args[arg] for arg in route.args]), follow=True
                ),
            )


def secrets_told(shop, browser):
    """The route of every page that was opened, with what it says of the right answers."""
    told = {}
    for name, answer in opened(shop, browser):
        text = (
            b"".join(answer).decode(errors="replace")
            if answer.streaming
            else answer.content.decode(errors="replace")
        )
        told[name] = [
            secret
            for secret in SECRETS
            if secret in text and secret not in ITS_OWN_EXAMPLE.get(name, ())
        ]
    assert len(told) > 60
    return told


@pytest.mark.parametrize("who", ["trainee", "mechanic", "senior", "owner"])
def test_no_page_tells_anybody_what_is_right_before_their_sitting_ends(everything, as_, who):
    person = getattr(everything, who)
    start_sitting(
        quiz=everything.quiz, person=person, pass_percent=75, now=NOW, seed=2, today=TODAY
    )
    told = secrets_told(everything, as_(person))
    assert {name for name, secrets in told.items() if secrets} == set()


@pytest.mark.parametrize("who", ["senior", "owner"])
def test_no_page_but_the_sitting_itself_shows_its_questions(everything, as_, who):
    """Whoever could read the stems elsewhere would look the answers up beside them."""
    person = getattr(everything, who)
    assert "Stem of" in as_(person).get("/questions/").text
    sitting = start_sitting(
        quiz=everything.quiz, person=person, pass_percent=75, now=NOW, seed=2, today=TODAY
    )
    stems = [
        stem
        for stem in sitting.answers.values_list("version__stem", flat=True)
        if stem.startswith("Stem of")
    ]
    assert len(stems) > 2
    told = {}
    for name, answer in opened(everything, as_(person)):
        text = (b"".join(answer) if answer.streaming else answer.content).decode(errors="replace")
        told[name] = {stem for stem in stems if stem in text}
    assert {name for name, found in told.items() if found} <= {
        "quizzes:sitting",
        "quizzes:question",
    }


def test_without_an_open_sitting_those_pages_do_tell_it(everything, as_):
    """So that the test above can fail."""
    told = secrets_told(everything, as_(everything.owner))
    assert {name for name, secrets in told.items() if secrets} >= {
        "quizzes:result",
        "quizzes:asked",
        "quizzes:edit",
        "training:book-export",
    }
