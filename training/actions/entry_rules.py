"""How late may somebody enter a job alone, from now on?"""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from procedures.records.checked import check_row
from training.access import acts
from training.models import EntryRules, User
from training.records.clock import moment
from training.records.keeping import record


@transaction.atomic
def set_days_back(*, days: int, by: User, now: datetime | None = None) -> EntryRules:
    """A new version of the rules for late entries, with its record book entry. Raises Refused
    without the right.
    """
    now = moment(now)
    # With the levels: it decides what counts as evidence, as their rules do.
    acts.KEEP_LEVELS.check(by)
    rules = EntryRules(days_back=days, by=by, recorded_at=now)
    check_row(rules)
    rules.save()
    record(EntryRules.KIND, rules)
    return rules
