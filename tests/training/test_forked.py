"""Is a program that tests copy from a waiting process the same as one that Python starts?"""

import pytest

from tests.forked import start_program
from tests.training.places import Place

pytestmark = pytest.mark.any_database  # a place of its own on SQLite

CODE = """
import os, sys
import django; django.setup()
from django.conf import settings
from django.db import connection
home = os.environ["BENCHRIGHT_HOME"]
print(sys.argv, __name__, os.getcwd(), home, settings.HOME, "tests.forked" in sys.modules)
print(connection.Database.__name__, connection.Database.sqlite_version, settings.DATABASES)
sys.exit("It ended so.")
"""


def test_a_copied_program_says_what_a_started_one_says_and_ends_as_it_does(tmp_path):
    place = Place(tmp_path)
    with place.start("-c", CODE, "one") as started:
        said = started.communicate(timeout=60)
    copied = place.python("-c", CODE, "one")
    assert (copied.returncode, copied.stdout, copied.stderr) == (started.returncode, *said)
    assert copied.stdout
    assert place.python("-c", "import os; os.kill(os.getpid(), 9)").returncode == -9


FOUR = "import os, time; os.fork(), os.fork(); print('here', flush=True); time.sleep(60)"


def test_one_that_goes_on_is_ended_with_all_that_it_started(tmp_path):
    program = start_program(["-c", FOUR], Place(tmp_path).environment())
    while program.said() != "here\n" * 4:
        assert not program.is_over()
    life = program.life.dup()
    program.end()
    assert life.recv(1) == b""
    life.close()
    ended = start_program(["-c", "print('here')"], Place(tmp_path).environment())
    ended.life.recv(1)
    assert (ended.is_over(), ended.said()) == (True, "here\n")
    ended.end()
