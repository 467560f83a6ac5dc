"""probe"""
import random
from datetime import timedelta
import pytest
from django.core.management import CommandError, call_command
from tests.training.shop import *
from tests.training.test_record_book import full, unsealed
from tests.training.test_bring import GOOD, bring, write, count_all
from training import models as rows
from training.keeping import faults
from procedures.refused import Refused
from training.actions import signing, entries
from training.actions.levels import set_level
from dataclasses import replace
from training.reports.home import rules_in_force
from training.gathering import gather
from training.sheets import title_of


@pytest.mark.parametrize("how", [lambda b: b + " ", lambda b: "[]", lambda b: "null", lambda b: "[" * 100000, lambda b: "3"])
def test_body(full, unsealed, how):
    e = rows.BookEntry.objects.order_by("number")[3]
    rows.BookEntry.objects.filter(pk=e.pk).update(body=how(e.body))
    assert next(faults()).number == e.number


def test_limited_job(shop, ready):
    from training.sheets import signing_sheet
    sheet = signing_sheet(person=ready, level=shop.level, signer=shop.senior, limits={"ring": ["prong"]}, on=TODAY, now=NOW)
    signing.sign_off(person=ready, level=shop.level, signer=shop.senior, limits={"ring": ["prong"]}, shown=sheet.digest, proof=proof(shop.senior, sheet.digest), on=TODAY, now=NOW)
    entries.record_job(person=ready, level=shop.level, revision=None, on=TODAY, today=TODAY, watched_by=None, variant={"ring": "prong"}, by=ready, now=NOW)


def test_same_day(shop):
    set_level(name="air-spring", terms=replace(TERMS, pass_percent=80, title="A"), now=NOW, from_day=TODAY)
    set_level(name="air-spring", terms=replace(TERMS, pass_percent=90, title="B"), now=NOW, from_day=TODAY)
    assert rules_in_force(gather(), "air-spring", TODAY).pass_percent == 90


def test_later_first(shop):
    set_level(name="air-spring", terms=replace(TERMS, title="later"), now=NOW, from_day=TODAY + timedelta(days=5))
    set_level(name="air-spring", terms=replace(TERMS, title="sooner"), now=NOW, from_day=TODAY)
    assert title_of(gather(), "air-spring", TODAY + timedelta(days=9)) == "later"


ODD = ["", " ", "x", "-1", "0", "2026-02-30", "9999-12-31", "0001-01-01", "yes", "*", "ring=prong", "a\u2028b", "a\x0bb", "a\x85b", "\ufeff", "١", "1e3", "NaN", "x" * 300, "ada", "air", "air;air", "air;lower", ";", "=", "|", "ring=", "ring=prong;ring=eyelet", "\"", "'", "\x1c", "\ud7ff", "😀", "0001-01-01T00:00:00Z", "9999-12-31T23:59:59+00:00", "2025-01-01T00:00:00+23:59", "100", "1200", "999999", "air-spring", "Main"]


@pytest.mark.django_db
@pytest.mark.parametrize("seed", range(400))
def test_fuzz(tmp_path, seed):
    rnd = random.Random(seed)
    for name, text in GOOD.items():
        write(tmp_path, name, text)
    told = []
    for _ in range(rnd.choice([1, 1, 1, 2, 3])):
        name = rnd.choice([n for n in GOOD if n.endswith(".csv")])
        lines = [l.split(",") for l in (tmp_path / name).read_text().splitlines()]
        if len(lines) < 2:
            continue
        r = rnd.randrange(1, len(lines)); c = rnd.randrange(len(lines[r]))
        lines[r][c] = rnd.choice(ODD)
        told.append((name, r, lines[0][c] if c < len(lines[0]) else c, lines[r][c]))
        write(tmp_path, name, "\n".join(",".join(l) for l in lines) + "\n")
    before = count_all()
    done, said, why = bring(tmp_path)
    if not done:
        assert count_all() == before, told
        assert said
    else:
        assert list(faults()) == []
        import io
        for p in ("air", "lower"):
            call_command("may", p, format="json", stdout=io.StringIO()) if rows.Level.objects.filter(name=p).exists() else None
