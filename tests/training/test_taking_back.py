"""Is a slip of one's own put right within minutes, by an entry and never by a change, and counts
nothing of it afterwards?

The design decides: a job counts from its own moment; one taken back never counted, from the moment
of taking back on, as with a void; what was answered in between stays what was answered then.
"""

import datetime
import io

import pytest
from django.core.management import call_command
from django.utils.html import strip_tags

from procedures.records.refused import Refused
from tests.training.shop import NOW, TODAY, found, waiting_job
from training.actions.confirming import confirm_job
from training.actions.entries import record_job
from training.actions.taking_back import WITHIN, change_job, take_back_job
from training.models import Job, JobTakenBack
from training.records.gathering import gather
from training.records.keeping import faults
from training.reports import fresh_jobs
from training.standing.known import Known

SECOND = datetime.timedelta(seconds=1)


@pytest.fixture
def mechanic(shop):
    """Who may work alone, so that a job alone counts at once."""
    found(shop.mechanic, shop.level, shop.owner)
    return shop.mechanic


def job_alone(shop, now=NOW, **more):
    return record_job(
        **{
            "person": shop.mechanic,
            "level": shop.level,
            "revision": None,
            "on": TODAY,
            "today": TODAY,
            "watched_by": None,
            "variant": {"ring": "prong"},
            "by": shop.mechanic,
            "now": now,
            **more,
        }
    )


def counting(now):
    return len(Known(gather(), now).jobs("mika", "air-spring"))


def words(page):
    return " ".join(strip_tags(page.text).split())


def test_a_job_taken_back_never_counted_and_the_others_of_the_day_stand(shop, mechanic):
    job_alone(shop)
    slip = job_alone(shop, now=NOW + SECOND)
    assert counting(NOW + SECOND) == 2
    take_back_job(job=slip, by=mechanic, now=NOW + WITHIN)
    assert counting(NOW + WITHIN) == 1
    assert counting(NOW + WITHIN - SECOND) == 2  # as known then
    assert Job.objects.count() == 2
    assert list(faults()) == []


def test_it_can_be_taken_back_for_a_quarter_of_an_hour(shop, mechanic):
    assert datetime.timedelta(minutes=15) == WITHIN == fresh_jobs.WITHIN
    job = job_alone(shop)
    with pytest.raises(Refused, match="Ask a senior mechanic or the owner"):
        take_back_job(job=job, by=mechanic, now=NOW + WITHIN + SECOND)
    take_back_job(job=job, by=mechanic, now=NOW + WITHIN)
    with pytest.raises(Refused, match="taken back already"):
        take_back_job(job=job, by=mechanic, now=NOW + WITHIN)


def test_only_who_did_it_and_wrote_it_down_takes_it_back(shop, mechanic, as_):
    own = job_alone(shop)
    entered = job_alone(shop, by=shop.senior)
    for job, by in ((own, shop.senior), (own, shop.owner), (entered, mechanic)):
        with pytest.raises(Refused, match="Only the person who did the job"):
            take_back_job(job=job, by=by, now=NOW)
    for browser in (as_(shop.trainee), as_(shop.owner)):
        assert browser.post(f"/jobs/{own.pk}/take-back/").status_code == 404
        assert browser.get(f"/jobs/{own.pk}/change/").status_code == 404
    assert as_(mechanic).post(f"/jobs/{entered.pk}/take-back/").status_code == 404
    assert not JobTakenBack.objects.exists()


def test_once_the_watcher_has_answered_it_stands_and_the_other_way_round(shop):
    confirmed = waiting_job(shop, shop.trainee)
    confirm_job(job=confirmed, by=shop.senior, now=NOW)
    with pytest.raises(Refused, match="mechanic who watched has answered already"):
        take_back_job(job=confirmed, by=shop.trainee, now=NOW)
    slip = waiting_job(shop, shop.trainee)
    take_back_job(job=slip, by=shop.trainee, now=NOW)
    with pytest.raises(Refused, match="Tilda Trainee has taken this job back"):
        confirm_job(job=slip, by=shop.senior, now=NOW)


def test_a_watcher_finds_no_job_that_was_taken_back(shop, as_):
    slip = waiting_job(shop, shop.trainee)
    assert "Did you watch these jobs?" in as_(shop.senior).get("/").text
    take_back_job(job=slip, by=shop.trainee, now=NOW)
    assert "Did you watch these jobs?" not in as_(shop.senior).get("/").text
    assert as_(shop.senior).get(f"/watched/{slip.pk}/").status_code == 404


def test_a_change_is_another_entry_and_both_or_neither_is_written(shop, mechanic):
    slip = job_alone(shop, note="TW-1")

    def write():
        return job_alone(shop, note="TW-2")

    changed = change_job(job=slip, by=mechanic, write=write, now=NOW + SECOND)
    assert (changed.note, Job.objects.count(), counting(NOW + SECOND)) == ("TW-2", 2, 1)

    def refused():
        return job_alone(shop, on=TODAY + datetime.timedelta(days=1))

    with pytest.raises(Refused, match="is still to come"):
        change_job(job=changed, by=mechanic, write=refused, now=NOW + SECOND)
    assert JobTakenBack.objects.count() == 1
    assert counting(NOW + SECOND) == 1


def test_on_the_pages_it_is_changed_and_taken_back(shop, mechanic, as_):
    browser = as_(mechanic)
    slip = job_alone(shop, note="The wrong fork.")
    page = words(browser.get("/"))
    assert "Jobs you have just logged" in page
    assert "You can change it until 10:45" in page  # 09:45 UTC in Vienna in winter
    form = browser.get(f"/jobs/{slip.pk}/change/")
    assert "The wrong fork." in form.text
    sent = {"on": "2026-11-25", "v-ring": "prong", "note": "The right one.", "mark": "m" * 16}
    said = browser.post(f"/jobs/{slip.pk}/change/", sent, follow=True)
    assert "The job is logged." in said.text
    # sent twice it is the same job
    browser.post(f"/jobs/{slip.pk}/change/", sent)
    changed = Job.objects.exclude(pk=slip.pk).get()
    assert changed.note == "The right one."
    said = browser.post(f"/jobs/{changed.pk}/take-back/", follow=True)
    assert "The job is taken back. It never counted." in said.text
    assert counting(NOW) == 0
    record = words(browser.get("/record/"))
    assert record.count("It was taken back, so it never counted.") == 2
    assert "It was taken back, so it never counted." in words(
        browser.get("/who-may/air-spring/mika/")
    )


def test_a_clock_set_back_does_not_lengthen_the_minutes(shop, mechanic, as_, clock):
    job = job_alone(shop)
    clock.move_to(NOW + datetime.timedelta(hours=1))
    job_alone(shop, now=None)  # the newest entry says how late it is
    clock.move_to(NOW)
    page = as_(mechanic).post(f"/jobs/{job.pk}/take-back/", follow=True)
    assert "The clock of this machine shows" in page.text
    assert not JobTakenBack.objects.exists()


def test_a_folder_that_is_taken_out_says_which_job_was_taken_back(shop, mechanic, tmp_path):
    job_alone(shop)
    take_back_job(job=job_alone(shop), by=mechanic, now=NOW + SECOND)
    call_command("take", tmp_path / "folder", stdout=io.StringIO())
    lines = (tmp_path / "folder" / "jobs.csv").read_text(encoding="utf-8").splitlines()
    place = lines[0].split(",").index("taken_back_at")
    assert sorted(bool(line.split(",")[place]) for line in lines[1:]) == [False, True]
