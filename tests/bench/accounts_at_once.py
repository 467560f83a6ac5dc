"""What comes through when the same thing about signing in is tried many times at one moment?

`python -m tests.bench.accounts_at_once` makes a database of its own (SQLite: a file; or beside what DATABASE_URL names), lets
threads wait for one starting shot, and prints for each race how many came through and how many should.
"""

import sys
import threading

from tests.bench.own_database import own_database

TIMES = 24
RACES = {}


def race(expected):
    """A function that prepares something and gives back what each thread then does; `expected` of them come through."""

    def kept(prepare):
        RACES[prepare.__name__] = (prepare, expected)
        return prepare

    return kept


def run(act) -> int:
    """How many of the threads came through: their `act(number)` neither raised a refusal nor said no."""
    from django.db import connection

    from procedures.refused import Refused
    from training.actions.tries import Wait

    gate, through, broken, lock = threading.Barrier(TIMES), [], [], threading.Lock()

    def one(number):
        gate.wait()
        try:
            if act(number) is not False:
                with lock:
                    through.append(number)
        except (Refused, Wait):
            pass
        except Exception as error:
            broken.append(error)
            print(f"{type(error).__name__}: {error}", file=sys.stderr)
        finally:
            connection.close()

    threads = [threading.Thread(target=one, args=(number,)) for number in range(TIMES)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return -1 if broken else len(through)


@race(expected=5)
def tries_of_one_password(shop):
    from tests.training.shop import NOW
    from training.actions.tries import take_try
    from training.throttle import Bucket

    return lambda number: take_try(paths=[[Bucket("one")]], now=NOW)


@race(expected=1)
def two_owners_who_demote_each_other(shop):
    from training.actions.people import add_person, change_person
    from training.models import User

    other = add_person(login="olga", name="Olga Owner", trade="owner", workshop=shop.workshop, started=None, password="a fork without air")
    pair = [shop.owner.pk, other.pk]

    def demote(number):
        if number > 1:
            return False
        person, by = User.objects.get(pk=pair[number]), User.objects.get(pk=pair[1 - number])
        change_person(
            person=person, by=by, name=person.name, trade="mechanic", workshop=person.workshop, started=None, left=None, is_active=True,
        )  # fmt: skip

    return demote


def main() -> int:
    """0 comes back when as many came through as should in every race."""
    with own_database("accounts_at_once"):
        from django.db import connection

        from tests.training.shop import small_shop

        shop, wrong = small_shop(), 0
        for name, (prepare, expected) in RACES.items():
            through = run(prepare(shop))
            wrong += through != expected
            print(f"{connection.vendor}: {name.replace('_', ' ')}: {through} of {TIMES} came through, {expected} expected")
        return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
