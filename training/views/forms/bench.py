"""What is typed at the bench, and what of it belongs to this revision?"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from django import forms

from procedures.models import Revision
from procedures.records import texts
from procedures.records.study import known_options
from training.records.benchwork import LONGEST_REASON, LONGEST_VALUE, values_typed
from training.views.forms.fields import MarkField
from training.views.forms.jobs import JobForm


class BenchJobForm(JobForm):
    """The job at the end of the work, with the browser's mark for it, the revision and fork worked
    by, and what was typed.
    """

    mark = MarkField(shortest=16)
    revision = forms.IntegerField(min_value=1, max_value=99_999, widget=forms.HiddenInput)
    fork = forms.JSONField(required=False, widget=forms.HiddenInput)
    given = forms.JSONField(required=False, widget=forms.HiddenInput)


def known_fork(fork: Any, revision: Revision) -> dict[str, str]:
    """The options that the revision has, of a mapping or its JSON; nothing where it can't be
    read.
    """
    if isinstance(fork, str):
        try:
            fork = json.loads(fork)
        except ValueError:
            return {}
    if not isinstance(fork, Mapping):
        return {}
    return known_options(
        texts.parse_once(revision.text), {str(name): str(option) for name, option in fork.items()}
    )


def given_in(sent: Any, revision: Revision) -> dict[str, str]:
    """Of what was sent, the values, reasons and ticks that this revision asks for."""
    if not isinstance(sent, Mapping):
        return {}
    most: dict[str, int] = {}
    for step in texts.parse_once(revision.text).steps:
        most[f"held-{step.id}"] = LONGEST_VALUE
        for typed in values_typed(step, {}):
            most[typed.field] = most[typed.sure_field] = LONGEST_VALUE
            most[typed.reason_field] = LONGEST_REASON
    # By the names of the revision and not of what was sent, which may hold anything.
    return {name: str(sent[name])[:length] for name, length in most.items() if sent.get(name)}
