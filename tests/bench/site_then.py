"""The site as a server loads it, on the day of the tests' small shop, for the benches that serve."""

import time_machine

from tests.bench.own_database import set_up

set_up()

from tests.training.shop import NOW

# Never stopped: this process serves nothing else.
time_machine.travel(NOW, tick=True).start()

from training.site.wsgi import application

__all__ = ["application"]
