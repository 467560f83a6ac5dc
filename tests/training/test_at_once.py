"""Does what is tried many times at one moment about signing in come through as often as it may, and
no oftener?
"""

import subprocess
import sys
from pathlib import Path


def test_what_is_tried_at_one_moment_comes_through_no_oftener_than_it_may():
    """On the database of this run, in a database of its own, with threads that wait for one
    starting shot.
    """
    done = subprocess.run(
        [sys.executable, "-m", "tests.bench.accounts_at_once"],
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
        timeout=180,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert "two owners who demote each other: 1 of" in done.stdout
    assert "the last question of a minute: 1 of" in done.stdout
