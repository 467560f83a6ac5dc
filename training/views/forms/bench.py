"""What is typed at the bench, and what of it belongs to this revision?"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from django import forms

from procedures.models import Revision
from procedures.records import texts
from procedures.records.study import known_options
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
        texts.parsed(revision.text), {str(name): str(option) for name, option in fork.items()}
    )


def given_in(sent: Any, revision: Revision) -> dict[str, str]:
    """Of what was sent, the values and ticks that this revision asks for, at most 100 letters
    each.
    """
    if not isinstance(sent, Mapping):
        return {}
    names = [
        name
        for step in texts.parsed(revision.text).steps
        for name in (
            f"held-{step.id}",
            *(
                f"value-{step.id}-{number}"
                for number in range(1, len(step.torques) + len(step.measures) + 1)
            ),
        )
    ]
    return {name: str(sent[name])[:100] for name in names if sent.get(name)}
