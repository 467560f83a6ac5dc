"""How does a bench serve the site on the day of the tests' small shop?"""

import time_machine
from django.utils.module_loading import import_string

from tests.bench.own_database import set_up

set_up()

# Never stopped: this process serves nothing else.
time_machine.travel(import_string("tests.training.shop.NOW"), tick=True).start()

# by its name, as a server takes it: nobody imports the site
application = import_string("training.site.wsgi.application")
