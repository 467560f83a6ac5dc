"""Where does a test run keep its files? Away from the data of a shop on this machine, and settled
before settings load.
"""

import atexit
import os
import shutil
import tempfile

# The second is what the processes of one run leave for each other, and never for the next one: see
# put_in.py. Whoever begins the run makes both, and takes them away again.
for name, prefix in (
    ("BENCHRIGHT_HOME", "benchright-tests-"),
    ("SHOPS_OF_THIS_RUN", "benchright-shops-"),
):
    if name not in os.environ:
        os.environ[name] = tempfile.mkdtemp(prefix=prefix)
        atexit.register(shutil.rmtree, os.environ[name], ignore_errors=True)

# The programs that tests start by the dozen compile the site once and not each for itself.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
