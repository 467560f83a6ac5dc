"""What comes through when the same thing about signing in is tried many times at one moment?

`python -m tests.bench.accounts_at_once` makes a database of its own (SQLite: a file; or beside what
DATABASE_URL names), lets threads wait for one starting shot, and prints for each race how many came
through and how many should.
"""

import sys
import threading

from tests.bench.own_database import own_database

# On PostgreSQL, with all row locks taken away, twelve let as many too many through as twenty-four.
TIMES = 12
RACES = {}


def race(expected):
    """A function that prepares something and gives back what each thread then does; `expected` of
    them come through.
    """

    def kept(prepare):
        RACES[prepare.__name__] = (prepare, expected)
        return prepare

    return kept


def run(act) -> int:
    """How many of the threads came through: their `act(number)` neither raised a refusal nor said
    no.
    """
    from django.db import connection

    from procedures.records.refused import Refused
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
    from training.access.throttle import Bucket
    from training.actions.tries import take_try

    return lambda number: take_try(paths=[[Bucket("one")]], now=NOW)


@race(expected=TIMES)
def refusals_from_many_networks(shop):
    """Each thread comes through when its 8 refusals, 96 networks in all, left few rows."""
    from django.test import RequestFactory

    from tests.training.shop import NOW
    from training.actions.refusals import MOST_APART, note_refusal
    from training.models import RefusedSignIn
    from training.models.refusals import PASSWORD

    def refuse(number):
        for n in range(8):
            asked = RequestFactory().post("/", REMOTE_ADDR=f"198.18.{number * 8 + n}.1")
            note_refusal(request=asked, why=PASSWORD, now=NOW, person=shop.senior)
        # As many as are at it in one moment can each add one behind the others' backs.
        return 0 < RefusedSignIn.objects.count() <= MOST_APART + TIMES

    return refuse


@race(expected=1)
def two_owners_who_demote_each_other(shop):
    from training.actions.people import add_person, change_person
    from training.models import User

    other = add_person(
        login="olga",
        name="Olga Owner",
        trade="owner",
        workshop=shop.workshop,
        started=None,
        password="a fork without air",
    )
    pair = [shop.owner.pk, other.pk]

    def demote(number):
        if number > 1:
            return False
        person, by = User.objects.get(pk=pair[number]), User.objects.get(pk=pair[1 - number])
        change_person(
            person=person,
            by=by,
            name=person.name,
            trade="mechanic",
            owner=False,
            workshop=person.workshop,
            started=None,
            left=None,
            is_active=True,
        )

    return demote


@race(expected=1)
def one_link(shop):
    from training.actions.accounts import give_link, use_link

    code = give_link(person=shop.mechanic, by=None)
    return lambda number: use_link(code=code, password=f"a shaft without scratch {number}")


def _factor(shop):
    """A second factor of the senior, with its recovery codes, and a bucket that lets every thread
    try.
    """
    from django_otp.oath import TOTP
    from django_otp.plugins.otp_totp.models import TOTPDevice

    from training.access.throttle import Bucket
    from training.actions.second_factor import begin_factor, confirm_factor

    TOTPDevice.objects.filter(user=shop.senior).delete()
    totp = TOTP(begin_factor(person=shop.senior).bin_key)
    codes = confirm_factor(person=shop.senior, code=f"{totp.token():06d}")
    TOTPDevice.objects.update(last_t=-1)  # the code of the setting-up may come again
    return f"{totp.token():06d}", codes[0], [[Bucket("codes", free=1000)]]


@race(expected=1)
def one_code(shop):
    from django.utils import timezone

    from training.actions.second_factor import check_code

    code, _, paths = _factor(shop)
    return lambda number: check_code(person=shop.senior, code=code, paths=paths, now=timezone.now())


@race(expected=1)
def one_recovery_code(shop):
    from django.utils import timezone

    from training.actions.second_factor import check_code

    _, code, paths = _factor(shop)
    return lambda number: check_code(person=shop.senior, code=code, paths=paths, now=timezone.now())


@race(expected=1)
def the_last_question_of_a_minute(shop):
    """Counted by the shop and not by the process: 239 were asked before, wherever."""
    from tests.training.shop import NOW
    from training.access.counted import TooMany, find_minute
    from training.actions.asked import count_question
    from training.models import Tries

    count_question(asker="a screen", most=240, now=NOW)
    Tries.objects.filter(count=1, last_at=find_minute(NOW)).update(count=239)

    def ask(number):
        try:
            count_question(asker="a screen", most=240, now=NOW)
        except TooMany:
            return False

    return ask


def main() -> int:
    """0 comes back when as many came through as should in every race."""
    with own_database("accounts_at_once"):
        from django.db import connection

        from tests.training.shop import small_shop

        shop, wrong = small_shop(), 0
        for name, (prepare, expected) in RACES.items():
            through = run(prepare(shop))
            wrong += through != expected
            print(
                f"{connection.vendor}: {name.replace('_', ' ')}: {through} of {TIMES} came "
                f"through, {expected} expected"
            )
        return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
