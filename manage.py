#!/usr/bin/env python3
"""Which command of Benchright is to run?"""

import os
import sys

from django.core.exceptions import ImproperlyConfigured
from django.core.management import execute_from_command_line
from django.db import DatabaseError

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "training.site.settings")
    try:
        execute_from_command_line(sys.argv)
    except ImproperlyConfigured as error:
        sys.exit(f"Benchright does not start: {error}")
    except DatabaseError as error:
        sys.exit(
            f"The database cannot be used: {str(error).strip()}\nLook at DATABASE_URL and "
            "BENCHRIGHT_HOME, and whether the database runs."
        )
