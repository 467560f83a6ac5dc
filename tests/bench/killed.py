"""What is left of a shop whose server is killed with signal 9 while people work, again and again?

`python -m tests.bench.killed 100 [--seed N]` makes a place of its own (SQLite: a folder; or a
database beside what DATABASE_URL names) and serves it as `manage.py serve` does. Four people work
at once over HTTP: they log jobs, observe with a photo, sign off, and answer a quiz. At a random
moment the whole server is killed; every tenth time while it starts. Then the database must be
whole, the record book must verify, whatever a person was told is saved must be there once, nothing
may be there by half, and the next server must start without anybody's help. A form whose answer was
lost is sent again, as people do, and must be there once as well.
"""

import argparse
import os
import random
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time
import urllib.error
import urllib.request
from pathlib import Path

from tests.bench.killed_checks import Found
from tests.bench.killed_people import Person, Told, people_at_work
from tests.training.places import ROOT, Place, forget, new_place

LONGEST_WORK = 3.0  # seconds of work before a kill, at most
LONGEST_START = 120.0  # on a machine that others use too


def main(kills: int, seed: int) -> int:
    """0 comes back when nothing was wrong after any kill, else 1; what was wrong is printed."""
    chance = random.Random(seed)
    print(f"seed {seed}", flush=True)
    with tempfile.TemporaryDirectory() as folder:
        place = new_place(Path(folder) / "home")
        try:
            return _kill_again_and_again(place, kills, chance)
        finally:
            forget(place)


def _kill_again_and_again(place: Place, kills: int, chance: random.Random) -> int:
    told, wrong, starts = Told(), list[str](), list[float]()
    people = _prepare(place, told)
    found = Found(place, told)
    for number in range(1, kills + 1):
        with Server(place) as server:
            if number % 10 == 0:
                time.sleep(chance.uniform(0, starts[-1]))
            else:
                starts.append(server.wait_until_ready())
                _work(people, server, chance.uniform(0.05, LONGEST_WORK))
        after = found.wrong_after_kill()
        wrong += [f"after kill {number}: {each}" for each in after]
        print(f"kill {number}: {told.summary()}; {'; '.join(after) or 'whole'}", flush=True)
    # Who has no answer yet sends the form once more: nothing may stay unclear.
    with Server(place) as server:
        starts.append(server.wait_until_ready())
        _work(people, server, LONGEST_WORK)
    wrong += [f"at the end: {each}" for each in [*found.wrong_after_kill(), *found.whole_book()]]
    print(
        f"{place_kind(place)}: {kills} kills, {told.summary()}, {found.leftovers()}; longest start "
        f"{max(starts):.1f} s; {f'{len(wrong)} wrong' if wrong else 'nothing wrong'}"
    )
    print("\n".join(wrong), file=sys.stderr)
    return 1 if wrong else 0


def place_kind(place: Place) -> str:
    return "postgresql" if place.url else "sqlite"


def _prepare(place: Place, told: Told) -> list[Person]:
    """The small shop in this place, and its people, signed in."""
    os.environ["BENCHRIGHT_HOME"] = str(place.home)
    if place.url:
        os.environ["DATABASE_URL"] = place.url
    os.environ["DJANGO_SETTINGS_MODULE"] = "training.site.settings"
    import django

    django.setup()
    from django.core.management import call_command
    from django.db import connections

    call_command("migrate", verbosity=0)
    made = people_at_work(told)
    connections.close_all()
    return made


def _work(people: list[Person], server: "Server", seconds: float) -> None:
    """Everybody works for so long; then the server is killed in the middle of it."""
    is_over = threading.Event()
    threads = [
        threading.Thread(target=person.work, args=(server.address, is_over)) for person in people
    ]
    for thread in threads:
        thread.start()
    time.sleep(seconds)
    server.kill()
    is_over.set()
    for thread in threads:
        thread.join()


class Server:
    """The site as a shop serves it, in a group of processes of its own, which ends with it."""

    def __init__(self, place: Place) -> None:
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]
        self.address = f"http://127.0.0.1:{self.port}"
        self.log = (place.home / "server.log").open("a")
        self.began = time.monotonic()
        self.running = subprocess.Popen(
            [sys.executable, "manage.py", "serve", "--port", str(self.port)],
            cwd=ROOT,
            env=place.environment(),
            stdout=self.log,
            stderr=self.log,
            start_new_session=True,
        )

    def __enter__(self) -> "Server":
        return self

    def __exit__(self, *_: object) -> None:
        self.kill()
        self.log.close()

    def wait_until_ready(self) -> float:
        """Seconds until it answered."""
        while time.monotonic() - self.began < LONGEST_START:
            if self.running.poll() is not None:
                break
            try:
                urllib.request.urlopen(self.address + "/healthz/", timeout=10)  # noqa: S310
            except OSError:
                time.sleep(0.1)
            else:
                return time.monotonic() - self.began
        raise SystemExit(f"The server did not start: {Path(self.log.name).read_text()[-2000:]}")

    def kill(self) -> None:
        """Every process of it at once, by signal 9."""
        if self.running.poll() is None:
            os.killpg(self.running.pid, signal.SIGKILL)
        self.running.wait()


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("kills", type=int, nargs="?", default=100)
    parser.add_argument("--seed", type=int, default=None)
    given = parser.parse_args()
    seed = int.from_bytes(os.urandom(4), "big") if given.seed is None else given.seed
    sys.exit(main(given.kills, seed))
