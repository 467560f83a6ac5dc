"""Do the site's answers agree with an independent judge over random shops?

The outside check is `judge.py`: a second implementation, written from the rules of standing alone
and sharing no code with the site.
"""

import json
from io import StringIO

import pytest
import time_machine
from django.conf import settings
from django.core.management import call_command

from tests.training.folder_shop import compare, differences
from tests.training.grow_shop import BROUGHT_AT, grow_shop
from tests.training.judge import judge


@pytest.mark.parametrize("seed", range(1, 13))
@pytest.mark.parametrize("wild", [False, True], ids=["tame", "wild"])
def test_the_pure_answer_agrees_with_the_judge(seed, wild):
    assert compare(seed, wild) == []


@pytest.mark.django_db
@pytest.mark.parametrize("seed", range(101, 113))
def test_the_site_answers_like_the_judge_after_bringing_a_folder_in(seed, tmp_path):
    grow_shop(seed, tmp_path)
    asked = tmp_path / "ask.json"
    ask = json.loads(asked.read_text(encoding="utf-8"))
    with time_machine.travel(BROUGHT_AT, tick=False):
        call_command("bring", str(tmp_path), stdout=StringIO())
        out = StringIO()
        call_command("may", "--ask", str(asked), "--format", "json", stdout=out)
    told = json.loads(out.getvalue())
    judged = judge(tmp_path, ask, BROUGHT_AT, settings.TIME_ZONE)
    assert [(answer["level"], answer["on"]) for answer in told] == [
        (answer["level"], answer["on"]) for answer in judged
    ]
    for ours, theirs, question in zip(judged, told, ask, strict=True):
        assert differences(ours["people"], theirs["people"], question) == []


def test_random_shops_hold_every_standing_and_every_reason(tmp_path):
    """The comparison is worth something only if the shops drawn reach all standings and all
    reasons.
    """
    wanted = {
        "alone",
        "watched",
        "no",
        "not-here",
        "stood-down",
        "no-sign-off",
        "variant-not-covered",
        "sign-off-ended",
        "out-of-practice",
        "change-not-read",
        "change-not-answered",
        "change-not-shown",
        "earlier-level",
        "signer-not-entitled",
        "not-read",
        "quiz-not-passed",
        "critical-wrong",
        "too-few-watched-jobs",
        "not-observed",
    }
    for seed in range(1, 26):
        grow_shop(seed, tmp_path / str(seed))
        ask = json.loads((tmp_path / str(seed) / "ask.json").read_text(encoding="utf-8"))
        people = [
            person
            for answer in judge(tmp_path / str(seed), ask, BROUGHT_AT)
            for person in answer["people"]
        ]
        wanted -= {word for person in people for word in (person["standing"], *person["codes"])}
        if not wanted:
            break
    assert not wanted
