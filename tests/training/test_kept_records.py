"""Is what was worked out kept while nothing is written down, and dropped as soon as anything is?"""

import sys
import threading
from datetime import timedelta
from importlib import import_module
from inspect import signature
from itertools import product

import pytest
from django.conf import settings
from django.db import connection, transaction
from django.utils import timezone

from procedures.actions.studying import keep_fork
from procedures.actions.writeups import start_writeup
from procedures.models import Revision
from procedures.records.sealing import put_on, take_off
from quizzes.models import RefresherAnswer, Sitting
from tests.training.conftest import full_shop
from tests.training.factories import UserFactory
from tests.training.shop import NOW, TODAY, busy_shop, found, stood_down, waiting_job
from training.actions.confirming import refuse_job
from training.actions.people import change_person
from training.models import BookHead, SignOff, User
from training.records.gathering import forget_records, gather
from training.standing.answer import answer, standings
from training.standing.entitlement import Asking, asking_of


def standing(shop, person, now=NOW):
    return answer(gather(), person.login, shop.level.name, TODAY, now, {}).standing


def stop(shop, person):
    stood_down(
        person=person, level=shop.level, first=TODAY, by=shop.owner, reason="A ring came out."
    )


def test_a_question_that_is_put_together_once_gives_what_django_gives(db, clock, client):
    """Days, instants, texts of JSON and yes or no, as Django's own query reads them; objects with
    all that comes beside them. In one of two shops each question has an answer.
    """
    given = {
        "now": timezone.now(),
        "since": NOW - timedelta(minutes=15),
        "on": TODAY,
        "first": TODAY - timedelta(days=60),
    }
    answered = set()
    for build in (full_shop, shop_where_all_waits):
        with transaction.atomic():
            shop = build()
            client.force_login(shop.owner, backend="training.access.sign_in.ShopBackend")
            given |= {
                "key": client.session.session_key,
                "level": shop.level.pk,
                "level_name": shop.level.name,
                "writeup": shop.writeup.pk,
                "writeup_name": shop.writeup.name,
                "number": 1,
                "quiz": shop.quiz.pk,
                "sitting": Sitting.objects.filter(answers__isnull=False).latest("pk").pk,
            }
            for ask, person in product(questions_put_together_once(), User.objects.all()):
                given |= {"pk": person.pk, "person": person.pk, "login": person.login}
                asked = [given[name] for name in signature(ask).parameters]
                found = [*map(told, ask(*asked))]
                assert found == [*map(told, ask.__wrapped__(*asked))], ask.__name__
                answered |= {ask} if found else set()
            transaction.set_rollback(True)
    assert questions_put_together_once() == answered


def test_what_no_column_can_hold_is_found_nowhere(db):
    """A number is taken from an address as it stands there, and SQLite's own are of 64 bits."""
    held = {"key", "pk", "person", "sitting"}
    for ask in questions_put_together_once():
        names = signature(ask).parameters
        if names and held.issuperset(names):
            assert ask(*[10**30] * len(names)) == []


def shop_where_all_waits():
    """The busy shop with what waits for a word or was refused it."""
    shop = busy_shop()
    keep_fork(revision=shop.revision, person=shop.mechanic, chosen={"ring": "prong"})
    Revision.objects.open().update(sent_back_because="Say which pliers.")
    other = start_writeup(name="other", title="Other", author=shop.senior, now=NOW)
    Revision.objects.filter(pk=other.pk).update(sent_to_review_at=NOW)
    RefresherAnswer.objects.update(given=[1], marks=1, on=TODAY, given_at=NOW)
    refuse_job(job=waiting_job(shop, shop.trainee), by=shop.senior, reason="I was out.", now=NOW)
    return shop


def told(row, depth=3):
    """A row, or all that an object has, and what was fetched with it."""
    if row is None or isinstance(row, tuple) or not depth:
        return row
    columns = {name: value for name, value in vars(row).items() if not name.startswith("_")}
    beside = row._state.fields_cache.items()
    return type(row), columns, {name: told(one, depth - 1) for name, one in beside}


def questions_put_together_once():
    import_module(settings.ROOT_URLCONF)  # with all that pages ask
    found = {
        ask
        for name, module in sys.modules.items()
        if name.startswith(("procedures.", "quizzes.", "training."))
        for ask in vars(module).values()
        if callable(ask) and hasattr(ask, "__wrapped__") and ask.__name__.startswith("_ask_")
    }
    assert len(found) > 40
    return found


def test_while_nothing_is_written_nothing_is_read_or_worked_out_again(
    shop, django_assert_num_queries
):
    first = gather()
    told = answer(first, "sol", shop.level.name, TODAY, NOW, {})
    with django_assert_num_queries(1):
        assert gather() is first
    later = NOW + timedelta(minutes=5)
    assert asking_of(first, later) is asking_of(first, NOW)
    assert answer(first, "sol", shop.level.name, TODAY, later, {}) is told


def test_a_new_entry_is_seen_at_once(shop):
    assert standing(shop, shop.senior) == "alone"
    stop(shop, shop.senior)
    assert standing(shop, shop.senior) == "no"


def test_what_is_undone_is_not_shown_any_more(shop):
    """The head moves and is taken back: what was worked out in between goes with it."""
    assert standing(shop, shop.senior) == "alone"
    head = BookHead.objects.get()
    with transaction.atomic():
        stop(shop, shop.senior)
        assert standing(shop, shop.senior) == "no"
        transaction.set_rollback(True)
    assert BookHead.objects.get().digest == head.digest
    assert standing(shop, shop.senior) == "alone"


def test_what_another_writer_writes_instead_of_what_was_undone_is_shown(shop):
    """Two heads with one number are two states."""
    with transaction.atomic():
        stop(shop, shop.senior)
        number = BookHead.objects.get().number
        assert standing(shop, shop.senior) == "no"
        transaction.set_rollback(True)
    stop(shop, shop.mechanic)
    assert BookHead.objects.get().number == number
    assert standing(shop, shop.senior) == "alone"
    assert standing(shop, shop.mechanic) == "no"


def test_an_entry_slipped_in_past_the_book_is_seen(shop):
    assert standing(shop, shop.mechanic) != "alone"
    SignOff.objects.bulk_create(
        [
            SignOff(
                person=shop.mechanic,
                level=shop.level,
                signer=shop.owner,
                founding=True,
                happened_on=TODAY,
                recorded_at=NOW,
            )
        ]
    )
    assert standing(shop, shop.mechanic) == "alone"


def test_what_is_changed_in_place_past_the_book_is_seen(shop):
    assert standing(shop, shop.senior) == "alone"
    User.objects.filter(login="sol").update(left=TODAY - timedelta(days=1))
    assert standing(shop, shop.senior) == "no"


def test_a_sealed_row_altered_by_force_shows_with_the_next_entry_and_at_the_next_start(shop):
    """Nothing that the site reads each time tells of it; the check of the book does."""
    assert standing(shop, shop.senior) == "alone"
    take_off(connection)
    SignOff.objects.filter(person=shop.senior).update(happened_on=TODAY - timedelta(days=3650))
    put_on(connection)
    assert standing(shop, shop.senior) == "alone"
    forget_records()
    assert standing(shop, shop.senior) != "alone"


def test_moments_before_the_newest_entry_are_each_asked_for_themselves(shop):
    found(shop.mechanic, shop.level, shop.owner, on=TODAY)
    late = NOW + timedelta(hours=1)
    assert standing(shop, shop.mechanic, late) == "alone"
    assert standing(shop, shop.mechanic, NOW - timedelta(seconds=1)) != "alone"
    assert standing(shop, shop.mechanic, late) == "alone"


def test_a_future_entry_parts_the_moments_before_it_from_those_after_it(shop):
    """A clock that was ahead leaves entries whose time has yet to come."""
    ahead = NOW + timedelta(hours=2)
    found(shop.mechanic, shop.level, shop.owner, on=TODAY, now=ahead)
    for _ in range(2):
        assert standing(shop, shop.mechanic, NOW) != "alone"
        assert standing(shop, shop.mechanic, ahead) == "alone"


def test_the_day_of_the_workshop_parts_moments_too(shop):
    kept = gather()
    assert asking_of(kept, NOW) is not asking_of(kept, NOW + timedelta(days=1))


def test_only_a_few_moments_and_tables_are_kept(shop):
    kept = gather()
    for number in range(9):
        day, now = TODAY + timedelta(days=number), NOW + timedelta(days=number)
        standings(kept, [shop.level.name], day, now, {})
        standings(kept, [shop.level.name], day, NOW, {})
    assert len(kept.askings) <= 4
    assert all(len(asking.tables) <= 4 for asking in kept.askings.values())


def test_whoever_gets_a_table_may_change_the_own_copy(shop):
    kept = gather()
    first = standings(kept, [shop.level.name], TODAY, NOW, {})
    first.clear()
    assert standings(kept, [shop.level.name], TODAY, NOW, {})


def test_an_asking_of_another_shop_is_refused_still(shop):
    kept = gather()
    forget_records()
    with pytest.raises(ValueError, match="another shop"):
        standings(gather(), [shop.level.name], TODAY, NOW, {}, asking=Asking(kept, NOW))


def test_a_new_name_or_title_is_told(shop):
    gather()
    person = shop.mechanic
    change_person(
        person=person,
        name="Mika Other",
        workshop=person.workshop,
        trade=person.trade,
        owner=False,
        started=person.started,
        left=person.left,
        is_active=True,
        by=shop.owner,
    )
    assert gather().files.people["mika"].name == "Mika Other"


# The other process is a copy of the first, made before that has a line to the database.
READER = """
import os
import django; django.setup()
from tests.training.shop import TODAY, stood_down
from training.models import Level, User, shop_now
from training.records.gathering import gather
from training.standing.answer import answer

def standing():
    return answer(gather(), "sol", "air-spring", TODAY, shop_now(), {}).standing

told, tell = os.pipe()
writer = os.fork()
if not writer:
    os.read(told, 1)
    odile, sol = User.objects.get(login="odile"), User.objects.get(login="sol")
    stood_down(person=sol, level=Level.objects.get(), by=odile)
    os._exit(0)
assert gather() is gather()
before = standing()
os.write(tell, b"!")
assert os.waitpid(writer, 0) == (writer, 0)
print(before, standing())
"""


def test_what_another_process_writes_is_seen_at_once(place):
    """On SQLite and on PostgreSQL: the head is read from the database each time."""
    done = place.python("-c", READER)
    assert done.stdout.split() == ["alone", "no"], done.stderr


@pytest.mark.django_db(transaction=True)
def test_each_thread_keeps_its_own(clock):
    UserFactory(login="ana")
    kept, others = gather(), []

    def look():
        others.append(gather())
        connection.close()

    thread = threading.Thread(target=look)
    thread.start()
    thread.join()
    assert others[0] is not kept
    assert others[0].people == kept.people
