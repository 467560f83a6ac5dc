"""When did somebody last look at their bench, so that it can say what is new?"""

from datetime import date

from django.db import transaction

from training.models import User, Visit


@transaction.atomic
def note_visit(*, person: User, today: date) -> date | None:
    """The last day before today on which this person looked; None for a first visit. Writes once a
    day only.
    """
    visit = Visit.objects.filter(person=person).first()
    if visit is None:
        # Two tabs may open at once on a first day.
        Visit.objects.get_or_create(person=person, defaults={"on": today})
        return None
    if visit.on < today:
        visit.on, visit.before = today, visit.on
        visit.save()
    return visit.before
