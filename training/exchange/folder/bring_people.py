"""How do the workshops and the people of a delivery come in?"""

from __future__ import annotations

from django.conf import settings
from django.utils.translation import gettext

from training.exchange.folder.bringing import BATCH, Bringing
from training.models import User, Workshop, roles
from training.records.keeping import PERSON, record_all


def bring_people(writing: Bringing) -> None:
    """The workshops and the people of a delivery, none of whom can sign in yet."""
    rows = writing.delivery.rows("people.csv")
    for row in writing.delivery.rows("workshops.csv"):
        _bring_workshop(
            writing, row["workshop"], row["time_zone"], is_demo=row["demo"] or writing.is_demo
        )
    for name in dict.fromkeys(row["workshop"] for row in rows):
        if name not in writing.workshops:
            _bring_workshop(writing, name, settings.TIME_ZONE, is_demo=writing.is_demo)
            # A slip in a name makes a workshop too, and its days may begin at another hour.
            writing.delivery.notes.append(
                gettext("the workshop {name} is new, with the time zone {zone}.").format(
                    name=name, zone=settings.TIME_ZONE
                )
            )
    people = [
        User(
            login=row["login"],
            name=row["name"],
            trade=row["trade"],
            owner=bool(row.values.get("owner")) or row["trade"] == roles.OWNER,
            workshop=writing.workshops[row["workshop"]],
            started=row["started"],
            left=row["left"],
        )
        for row in rows
    ]
    for person in people:
        # A folder that held passwords could be read by whoever carries it.
        person.set_unusable_password()
    User.objects.bulk_create(people, batch_size=BATCH)
    record_all(PERSON, people)
    writing.logins |= {person.login: person for person in people}
    writing.counts["person"] = len(people)


def _bring_workshop(writing: Bringing, name: str, time_zone: str, *, is_demo: bool) -> None:
    writing.workshops[name] = Workshop(name=name, time_zone=time_zone, is_demo=is_demo)
    writing.workshops[name].save()
    record_all(Workshop.KIND, [writing.workshops[name]])
