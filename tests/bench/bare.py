"""What is the least that Django can do where somebody is signed in: a page, a page of 500 cells, and
a row that is kept?

The floor of the benches that go through a server or a fresh interpreter. A project of its own, in
one file: Django's own people and sessions, the middleware that they need, and the site's SQLite
with its options, so that a commit is on the disk on both sides. It works in the database that
DATABASE_URL names and adds the tables that it lacks there.
"""

import os
import sys

# The site's own SQLite, or the floor would write with another one.
try:
    import pysqlite3

    sys.modules["sqlite3"] = pysqlite3
except ImportError:
    pass

import dj_database_url
import django
from django.conf import settings

from training.site.database import sqlite_options

PAGE = """<!doctype html><title>Bench</title><p>{{ user.username }}</p><form method="post">
{% csrf_token %}</form><ul>{% for name in names %}<li>{{ name }}</li>{% endfor %}</ul>"""
CELLS = """<!doctype html><title>Bench</title><p>{{ user.username }}</p><table>
{% for row in rows %}<tr>{% for cell in row %}<td class="{{ cell.kind }}">{{ cell.name }}</td>
{% endfor %}</tr>{% endfor %}</table>"""
ROWS = [[{"kind": "alone", "name": f"Cell {n} {m}"} for m in range(20)] for n in range(25)]


def _database():
    found = dj_database_url.parse(os.environ["DATABASE_URL"], conn_max_age=600)
    is_file = found["ENGINE"] == "django.db.backends.sqlite3"
    return found | ({"OPTIONS": sqlite_options()} if is_file else {})


settings.configure(
    SECRET_KEY="bench" * 12,
    ALLOWED_HOSTS=["127.0.0.1", "testserver"],
    ROOT_URLCONF=__name__,
    DATABASES={"default": _database()},
    DEFAULT_AUTO_FIELD="django.db.models.BigAutoField",
    INSTALLED_APPS=[
        "django.contrib.auth",
        "django.contrib.contenttypes",
        "django.contrib.sessions",
    ],
    MIDDLEWARE=[
        "django.contrib.sessions.middleware.SessionMiddleware",
        "django.middleware.common.CommonMiddleware",
        "django.middleware.csrf.CsrfViewMiddleware",
        "django.contrib.auth.middleware.AuthenticationMiddleware",
    ],
    TEMPLATES=[
        {
            "BACKEND": "django.template.backends.django.DjangoTemplates",
            "OPTIONS": {
                "loaders": [
                    ("django.template.loaders.locmem.Loader", {"page": PAGE, "cells": CELLS})
                ],
                "context_processors": ["django.contrib.auth.context_processors.auth"],
            },
        }
    ],
    USE_TZ=True,
)
django.setup()

from django.contrib.auth.decorators import login_required
from django.contrib.auth.models import User
from django.core.wsgi import get_wsgi_application
from django.db import connection, models, transaction
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.utils import timezone


class Kept(models.Model):
    """One row of what is sent: no more than its text and its moment."""

    text = models.TextField()
    at = models.DateTimeField()

    class Meta:
        app_label = "bench"


@login_required
def page(request):
    if request.method == "POST":
        with transaction.atomic():
            Kept.objects.create(text=request.POST["answer"], at=timezone.now())
        return redirect("/")
    return render(request, "page", {"names": ["one", "two"]})


@login_required
def cells(request):
    return render(request, "cells", {"rows": ROWS})


def rows(request):
    return HttpResponse(str(Kept.objects.count()))


urlpatterns = [path("", page), path("cells/", cells), path("rows/", rows)]
application = get_wsgi_application()


def prepare() -> str:
    """The missing tables; the key of a signed-in person's session comes back."""
    from importlib import import_module

    from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY

    there = connection.introspection.table_names()
    with connection.schema_editor() as editor:
        for model in (User, Kept):
            if model._meta.db_table not in there:
                editor.create_model(model)
    person, _ = User.objects.get_or_create(username="bench")
    session = import_module(settings.SESSION_ENGINE).SessionStore()
    session[SESSION_KEY] = str(person.pk)
    session[BACKEND_SESSION_KEY] = settings.AUTHENTICATION_BACKENDS[0]
    session[HASH_SESSION_KEY] = person.get_session_auth_hash()
    session.create()
    return session.session_key
