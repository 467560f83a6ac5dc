"""Is the fork that somebody chose kept for them, and for nobody else?"""

import pytest

from procedures.models import ChosenFork
from tests.procedures.factories import RevisionFactory


@pytest.fixture
def released_one(db, senior):
    return RevisionFactory(released=True)


def keep(client, person, studied, **options):
    client.force_login(person, backend="training.access.sign_in.ShopBackend")
    sent = {"_revision": studied.number, "_back": f"/study/{studied.writeup.name}/", **options}
    return client.post(f"/write-ups/{studied.writeup.name}/fork/", sent)


def test_the_next_visit_shows_the_steps_for_the_fork_chosen_last(
    client, trainee, mechanic, released_one
):
    name = released_one.writeup.name
    assert keep(client, trainee, released_one, ring="prong").url == f"/study/{name}/?ring=prong"
    assert "ring prong" in client.get(f"/study/{name}/").text
    assert "ring eyelet" in client.get(f"/study/{name}/?ring=eyelet").text
    client.force_login(mechanic, backend="training.access.sign_in.ShopBackend")
    assert "Which fork or shock is it?" in client.get(f"/study/{name}/").text
    keep(client, trainee, released_one, ring="eyelet")
    assert ChosenFork.objects.get().options == {"ring": "eyelet"}


def test_a_variant_may_be_called_revision_as_dampers_have_one(client, trainee):
    text = RevisionFactory.build().text.replace("ring", "revision").replace("eyelet", "7")
    released_one = RevisionFactory(released=True, text=text)
    kept = keep(client, trainee, released_one, revision="7")
    assert "revision 7" in client.get(kept.url).text
    assert ChosenFork.objects.get().options == {"revision": "7"}


def test_a_fork_that_is_not_chosen_or_not_there_is_told_and_not_kept(client, trainee, released_one):
    for options in ({}, {"ring": "hook"}):
        answer = keep(client, trainee, released_one, **options)
        assert "choose an option for ring" in client.get(answer.url).text
    assert not ChosenFork.objects.exists()


@pytest.mark.parametrize(
    "back", ["https://elsewhere.example/", "//elsewhere.example", "javascript:alert(1)", ""]
)
def test_the_way_back_stays_on_this_site(client, trainee, released_one, back):
    answer = keep(client, trainee, released_one, ring="prong", _back=back)
    assert answer.url == f"/write-ups/{released_one.writeup.name}/current/"
