"""What is the least that Django can do for somebody who is signed in: a page, a page of 500 cells,
and a row that is kept?

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
from django.core.wsgi import get_wsgi_application
from django.utils.module_loading import import_string

PAGE = """<!doctype html><title>Bench</title><p>{{ user.username }}</p><form method="post">
{% csrf_token %}</form><ul>{% for name in names %}<li>{{ name }}</li>{% endfor %}</ul>"""
CELLS = """<!doctype html><title>Bench</title><p>{{ user.username }}</p><table>
{% for row in rows %}<tr>{% for cell in row %}<td class="{{ cell.kind }}">{{ cell.name }}</td>
{% endfor %}</tr>{% endfor %}</table>"""


def _database():
    found = dj_database_url.parse(os.environ["DATABASE_URL"], conn_max_age=600)
    is_file = found["ENGINE"] == "django.db.backends.sqlite3"
    # by its name, as settings name what they use: nobody imports the site
    options = import_string("training.site.database.sqlite_options")
    return found | ({"OPTIONS": options()} if is_file else {})


settings.configure(
    SECRET_KEY="bench" * 12,
    ALLOWED_HOSTS=["127.0.0.1", "testserver"],
    ROOT_URLCONF="tests.bench.bare_views",
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
application = get_wsgi_application()
