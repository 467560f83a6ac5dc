"""Does the demo shop load once, tell who may, and keep away from a real shop?"""

import io
import re
import socket
from collections import Counter

import pytest
from django.apps import apps
from django.core.management import CommandError, call_command
from django.utils import timezone

from procedures.models import Revision
from procedures.writeup.parse import parse
from quizzes.models import QuestionVersion
from tests.training.factories import UserFactory
from training.exchange.worth_knowing import worth_knowing
from training.keeping import faults, head
from training.models import User
from training.reports.who_may import Question, who_may

pytestmark = pytest.mark.django_db


def demo():
    out = io.StringIO()
    call_command("demo", no_serve=True, stdout=out)
    return out.getvalue()


def test_it_loads_tells_and_loads_nothing_twice():
    said = demo()
    assert "Who may do air-spring work on" in said
    assert "Demo values. Do not use on a real fork or shock." in said
    assert "http://127.0.0.1:8000/" in said
    for trade in ("trainee", "mechanic", "senior mechanic", "owner"):
        assert re.search(rf"^  {trade} +\w+$", said, flags=re.MULTILINE)
    assert list(faults()) == []
    before = head()
    assert "The demo shop is here already; nothing was changed." in demo()
    assert head() == before


def test_it_leaves_a_real_shop_alone():
    UserFactory()
    with pytest.raises(CommandError, match="holds a real shop"):
        demo()
    assert User.objects.count() == 1


def test_the_shop_has_people_of_all_kinds_and_standings():
    demo()
    assert User.objects.count() >= 9
    assert set(User.objects.values_list("trade", flat=True)) == {"trainee", "mechanic", "senior", "owner"}
    told = who_may([Question(level, timezone.localdate(), timezone.now(), {}) for level in ("lower-leg", "air-spring", "travel-change")])
    standings = Counter(person["standing"] for answer in told for person in answer["people"])
    assert set(standings) == {"alone", "watched", "no"}


def test_every_critical_step_has_a_question_and_every_write_up_enough_of_them():
    demo()
    newest = {}
    for name, text in Revision.objects.order_by("number").values_list("writeup__name", "text"):
        newest[name] = parse(text)
    for name, writeup in newest.items():
        versions = QuestionVersion.objects.filter(question__writeup__name=name)
        assert versions.count() >= 12, name
        asked = {step for version in versions for step in version.steps}
        assert {step.id for step in writeup.steps if step.critical} <= asked, name


def test_every_write_up_of_the_demo_rehearses_without_an_error():
    demo()
    assert [note for note in worth_knowing(timezone.now()) if "rehearsal" in note] == []


def test_a_second_run_adds_no_row_anywhere():
    demo()
    models = [model for app in ("procedures", "quizzes", "training") for model in apps.get_app_config(app).get_models()]
    before = [model._default_manager.count() for model in models]
    demo()
    assert [model._default_manager.count() for model in models] == before


def test_the_password_that_is_printed_opens_the_door_for_each_trade_that_is_named(client):
    said = demo()
    password = re.search(r"^Password: (\S+)", said, flags=re.MULTILINE)[1]
    named = re.findall(r"^  (?:trainee|senior mechanic|mechanic|owner) +(\S+)$", said, flags=re.MULTILINE)
    assert len(named) == 4
    for login in named:
        assert client.post("/sign-in/", {"username": login, "password": password}).url == "/"
        client.logout()


def test_every_page_of_the_demo_says_that_its_values_are_made_up(client):
    demo()
    client.force_login(User.objects.filter(trade="owner").get(), backend="training.sign_in.ShopBackend")
    for path in ("/", "/who-may/", "/write-ups/", "/people/"):
        assert "Demo values. Do not use on a real fork or shock." in client.get(path).text


def test_a_port_that_is_taken_is_said_before_anything_is_done():
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        with pytest.raises(CommandError, match="another program has it"):
            call_command("demo", port=other.getsockname()[1])
    assert User.objects.count() == 0
