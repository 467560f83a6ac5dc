"""Does a form that comes in twice at one moment write one entry?

`python -m tests.bench.pairs 50` makes a database of its own beside the configured one and fires
that many pairs of each form that writes evidence: the site's own views, in two threads with a
connection each, behind one starting shot. Every pair must leave one entry more, tell both that it
is written, and the book must be whole afterwards.
"""

import argparse
import sys
import threading
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import time_machine

from tests.bench.own_database import own_database

SESSION = "s" * 32


def main(pairs: int) -> int:
    """0 comes back when every pair of every form left one entry, else 1; what was found is
    printed.
    """
    with own_database("pairs"):
        from django.db import connection, connections
        from django.test import override_settings

        cheap = override_settings(
            PASSWORD_HASHERS=["django.contrib.auth.hashers.MD5PasswordHasher"]
        )
        began, wrong = time.perf_counter(), 0
        from tests.bench.pairs_forms import forms
        from tests.training.shop import NOW

        gate = threading.Barrier(2)
        with cheap, time_machine.travel(NOW), ThreadPoolExecutor(2) as two:
            for name, model, prepared in forms(pairs):
                doubled = sum(not _once(two, gate, model, *each) for each in prepared)
                wrong += doubled
                print(
                    f"{connection.vendor}: {name}: {pairs} pairs, {doubled} not written "
                    "exactly once"
                )
            list(two.map(lambda _: (connections.close_all(), gate.wait()), range(2)))
        wrong += _broken()
        print(
            f"{'every pair once, one whole chain' if not wrong else f'{wrong} wrong'}; "
            f"{time.perf_counter() - began:.1f} s"
        )
        return 1 if wrong else 0


def _once(
    two: ThreadPoolExecutor,
    gate: threading.Barrier,
    model,
    view: Callable,
    login: str,
    args: dict,
    data: dict,
) -> bool:
    before = model.objects.count()
    answers = list(two.map(lambda _: _press(gate, view, login, args, data), range(2)))
    written = model.objects.count() - before
    told = sorted(answers)
    if written == 1 and all(text.startswith(("302 ", '200 {"done"')) for text in told):
        return True
    print(f"  {written} written; told: {told}", file=sys.stderr)
    return False


def _press(gate: threading.Barrier, view: Callable, login: str, args: dict, data: dict) -> str:
    from django.contrib.messages.storage.cookie import CookieStorage
    from django.contrib.sessions.backends.db import SessionStore
    from django.test import RequestFactory

    from training.models import User

    request = RequestFactory().post("/?v-ring=prong", data)
    request.user = User.objects.select_related("workshop").get(login=login)
    request._messages, request.session = CookieStorage(request), SessionStore(SESSION)
    gate.wait()
    try:
        answer = view(request, **args)
    except Exception as error:
        return f"{type(error).__name__}: {error}"
    told = " ".join(str(message) for message in request._messages)
    return f"{answer.status_code} {told or answer.content.decode()[:2000]}"


def _broken() -> int:
    from training.models import BookEntry
    from training.records.keeping import faults

    found = [fault.problem for fault in faults()]
    written = list(BookEntry.objects.order_by("number").values_list("written_at", flat=True))
    if written != sorted(written):
        found.append("written_at goes back")
    print("\n".join(found[:5]), file=sys.stderr)
    return len(found)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("pairs", type=int, nargs="?", default=50)
    sys.exit(main(parser.parse_args().pairs))
