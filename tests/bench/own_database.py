"""How does a script work on a database of its own, beside the configured one, so that other
processes can reach it too?
"""

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

from tests.bench.rounds import count_database


def set_up() -> None:
    """Django with the site's settings."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "training.site.settings")
    import django

    django.setup()


@contextmanager
def own_database(about: str) -> Iterator[str]:
    """The name of a new database (SQLite: a file; or beside what DATABASE_URL names), which is gone
    afterwards.
    """
    with tempfile.TemporaryDirectory() as folder:
        os.environ["BENCHRIGHT_HOME"] = folder
        set_up()
        from django.db import connection

        old = connection.settings_dict["NAME"]
        name = (
            str(Path(folder) / f"{about}.sqlite3")
            if connection.vendor == "sqlite"
            else f"{about}_{os.getpid()}"
        )
        connection.settings_dict["TEST"]["NAME"] = name
        count_database(name)
        connection.creation.create_test_db(verbosity=0, autoclobber=True, serialize=False)
        try:
            yield name
        finally:
            connection.creation.destroy_test_db(old, verbosity=0)


def address_of(name: str) -> str:
    """What DATABASE_URL has to say for the database of this name, for a program that is started."""
    given = os.environ.get("DATABASE_URL", "")
    if given.startswith("postgres"):
        return urlunsplit(urlsplit(given)._replace(path=f"/{name}"))
    return f"sqlite:///{name}"
