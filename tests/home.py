"""Where does a test run keep its files? Away from the data of a shop on this machine, and settled
before settings load.
"""

import os
import tempfile

if "BENCHRIGHT_HOME" not in os.environ:
    os.environ["BENCHRIGHT_HOME"] = tempfile.mkdtemp(prefix="benchright-tests-")
