"""How is the fork that somebody studies for kept?"""

from collections.abc import Mapping

from django.db import transaction
from django.utils.translation import gettext

from procedures.access.acts import Person
from procedures.models import ChosenFork, Revision
from procedures.records import texts
from procedures.records.refused import Refused
from procedures.records.study import known_options


@transaction.atomic
def keep_fork(*, revision: Revision, person: Person, chosen: Mapping[str, str]) -> dict[str, str]:
    """The options that are kept for this person and write-up. Raises Refused while an option is
    missing or unknown.
    """
    writeup = texts.parse_once(revision.text)
    options = known_options(writeup, chosen)
    # Half a fork would show steps of which nobody knows whether they apply.
    if len(options) < len(writeup.variants):
        missing = ", ".join(
            variant.name for variant in writeup.variants if variant.name not in options
        )
        raise Refused(
            gettext("Say which fork or shock it is: choose an option for {missing}.").format(
                missing=missing
            )
        )
    ChosenFork.objects.update_or_create(
        person_id=person.pk, writeup=revision.writeup, defaults={"options": options}
    )
    return options
