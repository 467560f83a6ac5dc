"""Do people who sign at the same moment leave one unbroken chain?"""

import subprocess
import sys
from pathlib import Path


def test_sixteen_signings_at_once_make_one_chain():
    """On the database of this run, in a database of its own; `python -m tests.bench.many_signings
    200` is the whole of it.
    """
    done = subprocess.run(
        [sys.executable, "-m", "tests.bench.many_signings", "16", "--processes", "2"],
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert "16 signings, 16 at once, 0 failed, 16 kept" in done.stdout
    assert "one whole chain" in done.stdout
