"""Does the API hold whatever is asked of it?

Schemathesis, a general-purpose tester of OpenAPI 3.1, asks what the description allows and what it
does not, and holds every answer against the description.
"""

import pytest
import schemathesis
from django.core.signals import request_finished, request_started
from django.core.wsgi import get_wsgi_application
from django.db import close_old_connections
from hypothesis import HealthCheck, settings
from schemathesis.specs.openapi.checks import positive_data_acceptance

from tests.training.shop import NOW, TODAY, small_shop
from training.actions.programs import make_token
from training.models import Workshop
from training.models.programs import SCOPES
from training.views.api.api import api


@pytest.fixture
def described(request):
    # the library adds the operation to what it takes for the name of the test
    request.node._nodeid = request.node.nodeid
    read = schemathesis.openapi.from_dict(api.get_openapi_schema(path_prefix="/api/"))
    read.app = get_wsgi_application()
    return read


# Only the process that runs the test thinks out what to ask, and not each that counts the tests.
schema = schemathesis.pytest.from_fixture("described")


@pytest.fixture
def token(db, clock):
    """A token that may do everything. The connection of the test stays open between requests, as
    Django's own test client keeps it.
    """
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)
    if not Workshop.objects.exists():
        small_shop()
    _row, secret = make_token(
        name="anything", scopes=list(SCOPES), until=TODAY, by=None, today=TODAY, now=NOW
    )
    yield secret
    for signal in (request_started, request_finished):
        signal.connect(close_old_connections)


@pytest.mark.django_db
@schema.parametrize()
@settings(
    max_examples=25,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
def test_whatever_is_asked_is_answered_as_described(case, token, monkeypatch):
    monkeypatch.setattr("training.access.programs.MOST_A_MINUTE", 10**9)
    # A day can be well written and yet too late for the shop: that is told with 422, too.
    case.call_and_validate(
        headers={"Authorization": f"Bearer {token}"}, excluded_checks=[positive_data_acceptance]
    )
