"""Where does a test run keep its files? Away from the data of a shop on this machine, and settled
before settings load.
"""

import atexit
import os
import shutil
import tempfile

if "BENCHRIGHT_HOME" not in os.environ:
    os.environ["BENCHRIGHT_HOME"] = tempfile.mkdtemp(prefix="benchright-tests-")

# What the processes of one run leave for each other, and never for the next one: see put_in.py.
if "SHOPS_OF_THIS_RUN" not in os.environ:
    os.environ["SHOPS_OF_THIS_RUN"] = tempfile.mkdtemp(prefix="benchright-shops-")
    atexit.register(shutil.rmtree, os.environ["SHOPS_OF_THIS_RUN"], ignore_errors=True)

# The programs that tests start by the dozen compile the site once and not each for itself.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
