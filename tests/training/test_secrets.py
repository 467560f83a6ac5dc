"""Does any page tell somebody in the middle of a quiz what is right in it?"""

import pytest

from quizzes.actions.sittings import start_sitting
from tests.pages import ROUTES
from tests.put_in import put_in
from tests.quizzes.test_survives import SECRETS
from tests.training.shop import NOW, TODAY, busy_shop
from tests.walks import address, shown_to

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
    """The text of every page of the site, by its route, whatever comes of asking for it; redirects
    are followed.
    """
    shown = {
        route.name: browser.get(address(shop, route), follow=True)
        for route in ROUTES
        if route.method == "get"
    }
    assert len(shown) > 60
    return {name: answer.getvalue().decode("utf-8", "replace") for name, answer in shown.items()}


def those_with(texts, wanted, but=None):
    """The routes whose text holds one of the wanted pieces, but for those that it may hold."""
    return {
        name
        for name, text in texts.items()
        if any(one in text for one in wanted if one not in (but or {}).get(name, ()))
    }


@pytest.mark.parametrize("who", ["trainee", "mechanic", "senior", "owner"])
def test_no_page_tells_anybody_what_is_right_or_asked_before_their_sitting_ends(
    everything, as_, who
):
    """Whoever could read the stems elsewhere would look the answers up beside them."""
    person, may_read = getattr(everything, who), who in ("senior", "owner")
    assert ("Stem of" in as_(person).get("/questions/").content.decode()) == may_read
    sitting = start_sitting(
        quiz=everything.quiz, person=person, pass_percent=75, now=NOW, seed=2, today=TODAY
    )
    stems = [
        stem
        for stem in sitting.answers.values_list("version__stem", flat=True)
        if stem.startswith("Stem of")
    ]
    assert len(stems) > 2
    texts = opened(everything, as_(person))
    assert those_with(texts, SECRETS, ITS_OWN_EXAMPLE) == set()
    if may_read:
        assert those_with(texts, stems) <= {"quizzes:sitting", "quizzes:question"}


def test_without_an_open_sitting_those_pages_do_tell_it(everything):
    """So that the test above can fail."""
    texts = {page.route.name: page.text for page in shown_to(everything, "owner")}
    assert those_with(texts, SECRETS, ITS_OWN_EXAMPLE) >= {
        "quizzes:result",
        "quizzes:asked",
        "quizzes:edit",
        "training:book-export",
    }
