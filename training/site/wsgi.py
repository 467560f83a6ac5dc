"""Where does a web server take hold of the site?"""

import gc
import os
import sys
from importlib import import_module

import django
from django.conf import settings
from django.core.exceptions import ImproperlyConfigured
from django.core.wsgi import get_wsgi_application
from django.db import connections

NOT_LOADED = 4  # by this gunicorn knows that a new try would end the same way

# While the site loads nothing becomes waste: to look for it takes a tenth of the time.
gc.disable()
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "training.site.settings")
try:
    django.setup()
    # Before the server lists what it serves, and after the apps are loaded, which own the files.
    from training.site.static_files import collect_missing

    collect_missing()
    application = get_wsgi_application()
    # Only now: it asks the database, for which the apps have to be loaded.
    from training.site.checks import must_be_fit

    must_be_fit()
    # Or the first of the workers to ask would take a file put in its place meanwhile for the right
    # one, and say so, while another one refuses.
    from training.records.opened_file import file_of, note_file

    note_file(file_of(connections["default"].settings_dict))
    # The pages too, or the first visitor of each worker would wait for them.
    import_module(settings.ROOT_URLCONF)
    # A worker that is copied from here must not talk on a line of the one that loaded it.
    connections.close_all()
except ImproperlyConfigured as error:
    sys.stderr.write(f"Benchright does not start: {error}\n")
    sys.exit(NOT_LOADED)
# What was loaded stays for good, and is not looked through again.
gc.freeze()
gc.enable()
