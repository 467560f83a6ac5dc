"""Does a watched job count only by its watcher's word, and is what comes late or from outside
somebody's time refused?
"""

import datetime
from dataclasses import replace

import pytest
from django.db import IntegrityError, connection, transaction

from procedures.actions import writeups as procedures_actions
from procedures.records.refused import Refused
from tests.training.shop import (
    LONG_AGO,
    NOW,
    TERMS,
    TODAY,
    found,
    lifted,
    observe,
    seen_lines,
    stood_down,
    waiting_job,
)
from training.actions import entries, signing
from training.actions.accounts import give_link, use_link
from training.actions.appointing import end_appointment
from training.actions.confirming import confirm_job, refuse_job
from training.actions.entry_rules import set_days_back
from training.actions.levels import set_level
from training.models import AppointmentEnd, Job, JobConfirmation, SignOff, Void
from training.records.gathering import gather
from training.records.keeping import faults
from training.standing.answer import reasons_against_signing
from training.standing.entitlement import Asking
from training.standing.known import Known


def days_ago(number):
    return TODAY - datetime.timedelta(days=number)


def counting(shop, person, at=NOW):
    return len(Known(gather(), at).jobs(person.login, shop.level.name))


def own_job(shop, person, on=TODAY, **more):
    return waiting_job(shop, person, on, watched_by=None, **more)


class TestTheWatchersWord:
    def test_a_job_counts_from_the_instant_at_which_the_watcher_confirms_it(self, shop):
        job = waiting_job(shop, shop.trainee)
        assert counting(shop, shop.trainee, NOW + datetime.timedelta(days=9)) == 0
        confirm_job(job=job, by=shop.senior, now=NOW + datetime.timedelta(hours=1))
        assert counting(shop, shop.trainee, NOW + datetime.timedelta(minutes=59)) == 0
        assert counting(shop, shop.trainee, NOW + datetime.timedelta(hours=1)) == 1
        assert list(faults()) == []

    def test_within_an_hour_of_a_password_by_somebody_elses_hand_nobody_makes_work_count(
        self, shop
    ):
        """Seen: an owner used the link given to a senior, and confirmed a trainee's job in the
        senior's name at once.
        """
        job = waiting_job(shop, shop.trainee)
        use_link(
            code=give_link(person=shop.senior, by=shop.owner, now=NOW),
            password="a fork without air",
            now=NOW,
        )
        early = NOW + datetime.timedelta(minutes=59)
        for write in (
            lambda: confirm_job(job=job, by=shop.senior, now=early),
            lambda: waiting_job(shop, shop.trainee, by=shop.senior, now=early),
            lambda: observe(shop, shop.trainee),
        ):
            with pytest.raises(Refused, match="with the help of somebody else"):
                write()
        assert counting(shop, shop.trainee, NOW + datetime.timedelta(days=9)) == 0
        confirm_job(job=job, by=shop.senior, now=NOW + datetime.timedelta(hours=1))
        assert counting(shop, shop.trainee, NOW + datetime.timedelta(hours=1)) == 1

    def test_a_refused_job_never_counts_and_tells_why(self, shop, as_):
        refuse_job(
            job=waiting_job(shop, shop.trainee),
            by=shop.senior,
            reason="I was at the other bench.",
            now=NOW,
        )
        assert counting(shop, shop.trainee, NOW + datetime.timedelta(days=9)) == 0
        for page in ("/", "/who-may/air-spring/tilda/", "/record/"):
            assert "I was at the other bench." in as_(shop.trainee).get(page).text

    @pytest.mark.parametrize("who", ["trainee", "other_senior", "owner"])
    def test_nobody_but_the_watcher_confirms_or_refuses(self, shop, who):
        job = waiting_job(shop, shop.trainee)
        with pytest.raises(Refused, match="Only the mechanic named as the one who watched"):
            confirm_job(job=job, by=getattr(shop, who), now=NOW)
        with pytest.raises(Refused, match="Only the mechanic named as the one who watched"):
            refuse_job(job=job, by=getattr(shop, who), reason="No.", now=NOW)

    def test_the_first_word_stands(self, shop):
        job = waiting_job(shop, shop.trainee)
        refuse_job(job=job, by=shop.senior, reason="No.", now=NOW)
        with pytest.raises(Refused, match="answered this already"):
            confirm_job(job=job, by=shop.senior, now=NOW)
        row = JobConfirmation(
            job=job, by=shop.senior, confirmed=True, happened_on=TODAY, recorded_at=NOW
        )
        with pytest.raises(IntegrityError), transaction.atomic():
            row.save()

    def test_a_refusal_says_why(self, shop):
        job = waiting_job(shop, shop.trainee)
        with pytest.raises(Refused, match="Say why"):
            refuse_job(job=job, by=shop.senior, reason="  ", now=NOW)

    def test_whoever_was_not_alone_on_the_day_confirms_nothing(self, shop):
        job = waiting_job(shop, shop.trainee)
        stood_down(person=shop.senior, by=shop.owner)
        with pytest.raises(Refused, match="work alone at this level on that day"):
            confirm_job(job=job, by=shop.senior, now=NOW)
        refuse_job(job=job, by=shop.senior, reason="Stood down.", now=NOW)

    @pytest.mark.parametrize("everywhere", [True, False])
    def test_whoever_is_stood_down_now_vouches_for_no_earlier_day_until_it_is_lifted(
        self, shop, as_, everywhere
    ):
        """Seen: a senior stood down this morning entered a job of yesterday as its watcher, and it
        counted.
        """
        yesterday = days_ago(1)
        job = waiting_job(shop, shop.trainee, yesterday)
        down = stood_down(
            person=shop.senior, by=shop.owner, level=None if everywhere else shop.level
        )
        lines = seen_lines(shop.revision)
        for word in (
            lambda: confirm_job(job=job, by=shop.senior, now=NOW),
            lambda: waiting_job(shop, shop.trainee, yesterday, by=shop.senior),
            lambda: entries.record_observation(
                person=shop.trainee,
                level=shop.level,
                observer=shop.senior,
                revision=shop.revision,
                variant={"ring": "prong"},
                lines=lines,
                on=yesterday,
                today=TODAY,
                now=NOW,
            ),
        ):
            with pytest.raises(Refused, match="you are stood down at this level"):
                word()
        assert counting(shop, shop.trainee, NOW) == 0
        assert (
            "Sol Senior, who is stood down now and can confirm it only after that"
            in as_(shop.trainee).get("/").text
        )
        # A no needs no standing.
        refuse_job(
            job=waiting_job(shop, shop.trainee, yesterday),
            by=shop.senior,
            reason="I was away.",
            now=NOW,
        )
        lifted(standdown=down, by=shop.owner)
        assert "Waits for Sol Senior to confirm it" in as_(shop.trainee).get("/").text
        confirm_job(job=job, by=shop.senior, now=NOW)
        assert counting(shop, shop.trainee, NOW) == 1

    def test_a_stand_down_at_another_level_or_of_somebody_else_keeps_nobody_from_confirming(
        self, shop
    ):
        other = set_level(
            name="damper", terms=replace(TERMS, title="Damper"), by=shop.owner, now=NOW
        ).level
        stood_down(person=shop.senior, by=shop.owner, level=other)
        stood_down(person=shop.other_senior, by=shop.owner)
        confirm_job(job=waiting_job(shop, shop.trainee, days_ago(1)), by=shop.senior, now=NOW)
        assert counting(shop, shop.trainee, NOW) == 1

    def test_a_job_that_was_cancelled_is_not_confirmed(self, shop):
        job = waiting_job(shop, shop.trainee)
        with transaction.atomic():
            entries.write_down(
                Void(
                    kind="job",
                    person=shop.trainee,
                    about="air-spring",
                    by=shop.owner,
                    reason="Never done.",
                    happened_on=TODAY,
                    recorded_at=NOW,
                )
            )
        with pytest.raises(Refused, match="This job was cancelled"):
            confirm_job(job=job, by=shop.senior, now=NOW)

    def test_a_void_that_comes_first_holds_whatever_is_confirmed_later(self, shop):
        job = waiting_job(shop, shop.trainee)
        confirm_job(job=job, by=shop.senior, now=NOW + datetime.timedelta(hours=2))
        with transaction.atomic():  # written down before the confirmation, after the job
            entries.write_down(
                Void(
                    kind="job",
                    person=shop.trainee,
                    about="air-spring",
                    by=shop.owner,
                    reason="Never done.",
                    happened_on=TODAY,
                    recorded_at=NOW + datetime.timedelta(hours=1),
                )
            )
        assert counting(shop, shop.trainee, NOW + datetime.timedelta(days=1)) == 0

    def test_what_was_there_before_or_came_in_counts_as_it_stands(self, shop):
        Job.objects.create(
            person=shop.trainee,
            level=shop.level,
            watched_by=shop.senior,
            happened_on=TODAY,
            recorded_at=NOW,
        )
        assert counting(shop, shop.trainee) == 1

    def test_whether_a_job_waits_cannot_be_changed_afterwards(self, shop):
        job = waiting_job(shop, shop.trainee)
        for table, column in (
            ("training_job", "needs_confirmation"),
            ("training_jobconfirmation", "confirmed"),
        ):
            if table == "training_jobconfirmation":
                refuse_job(job=job, by=shop.senior, reason="No.", now=NOW)
            with pytest.raises(IntegrityError), transaction.atomic(), connection.cursor() as cursor:
                cursor.execute(
                    f"UPDATE {table} SET {column} = %s", [table == "training_jobconfirmation"]
                )

    def test_a_watcher_who_enters_the_job_has_confirmed_it(self, shop):
        waiting_job(shop, shop.trainee, by=shop.senior)
        assert counting(shop, shop.trainee) == 1


class TestPages:
    def test_it_waits_on_the_watchers_first_page_and_is_confirmed_in_a_press(self, shop, as_):
        job = waiting_job(shop, shop.trainee)
        assert f'action="/watched/{job.pk}/"' in as_(shop.senior).get("/").text
        assert "/watched/" not in as_(shop.other_senior).get("/").text
        assert "Waits for Sol Senior to confirm it" in as_(shop.trainee).get("/").text
        assert as_(shop.senior).post(f"/watched/{job.pk}/", {"say": "confirm"}).status_code == 302
        assert JobConfirmation.objects.get().confirmed
        assert "/watched/" not in as_(shop.senior).get("/").text

    def test_anothers_job_is_not_there(self, shop, as_):
        job = waiting_job(shop, shop.trainee)
        for who in (shop.trainee, shop.other_senior, shop.owner, shop.mechanic):
            assert as_(who).get(f"/watched/{job.pk}/").status_code == 404
            assert as_(who).post(f"/watched/{job.pk}/", {"say": "confirm"}).status_code == 404
        assert not JobConfirmation.objects.exists()

    def test_a_refusal_without_a_reason_stays_on_the_page(self, shop, as_):
        job = waiting_job(shop, shop.trainee)
        page = as_(shop.senior).post(f"/watched/{job.pk}/", {"say": "refuse", "reason": ""})
        assert page.status_code == 200
        assert not JobConfirmation.objects.exists()
        as_(shop.senior).post(f"/watched/{job.pk}/", {"say": "refuse", "reason": "I was ill."})
        assert JobConfirmation.objects.get().reason == "I was ill."

    def test_a_second_press_says_that_it_is_settled(self, shop, as_):
        job = waiting_job(shop, shop.trainee)
        for _ in range(2):
            page = as_(shop.senior).post(f"/watched/{job.pk}/", {"say": "confirm"}, follow=True)
        assert "answered this already" in page.text
        assert JobConfirmation.objects.count() == 1

    def test_a_watcher_who_has_left_is_told_and_one_more_job_is_the_way(self, shop, as_):
        waiting_job(shop, shop.trainee)
        shop.senior.left = days_ago(1)
        shop.senior.save()
        assert (
            "Sol Senior has left and cannot confirm it. Do one more supervised job."
            in as_(shop.trainee).get("/").text
        )

    def test_a_senior_enters_an_old_job_and_it_says_so(self, shop, as_):
        data = {
            "on": days_ago(40).isoformat(),
            "watched_by": "sol",
            "v-ring": "prong",
            "mark": "m" * 32,
        }
        assert as_(shop.senior).post("/who-may/air-spring/tilda/job/", data).status_code == 302
        page = as_(shop.owner).get("/who-may/air-spring/tilda/").text
        assert "Logged 40 days later." in page
        assert as_(shop.trainee).get("/who-may/air-spring/tilda/job/").status_code == 403


class TestWhen:
    def test_nobody_enters_a_job_more_days_back_than_the_owner_allows(self, shop):
        waiting_job(shop, shop.trainee, days_ago(14))
        with pytest.raises(Refused, match="up to 14 days back"):
            waiting_job(shop, shop.trainee, days_ago(15))
        set_days_back(days=20, by=shop.owner, now=NOW)
        waiting_job(shop, shop.trainee, days_ago(20))
        with pytest.raises(Refused, match="up to 20 days back"):
            waiting_job(shop, shop.trainee, days_ago(21))

    def test_only_the_owner_sets_how_late(self, shop, as_):
        with pytest.raises(Refused, match="Only the owner can set this"):
            set_days_back(days=2000, by=shop.senior, now=NOW)
        as_(shop.owner).post("/late-entries/", {"days": "3"})
        with pytest.raises(Refused, match="up to 3 days back"):
            waiting_job(shop, shop.trainee, days_ago(4))
        assert list(faults()) == []

    def test_a_seniors_own_old_job_is_entered_by_another_senior(self, shop):
        with pytest.raises(Refused, match="Ask a senior mechanic"):
            own_job(shop, shop.senior, days_ago(30))
        assert (
            own_job(shop, shop.senior, days_ago(30), by=shop.other_senior).recorded_by
            == shop.other_senior
        )

    def test_a_mechanic_enters_nobody_elses_job(self, shop):
        with pytest.raises(Refused, match="log a job for somebody else"):
            waiting_job(shop, shop.trainee, by=shop.mechanic)

    @pytest.mark.parametrize(
        ("started", "left", "on"),
        [(days_ago(3), None, days_ago(4)), (None, days_ago(3), days_ago(2))],
    )
    def test_nothing_is_written_down_outside_of_somebodys_time(self, shop, started, left, on):
        shop.trainee.started, shop.trainee.left = started, left
        shop.trainee.save()
        with pytest.raises(Refused, match="Choose that day or"):
            waiting_job(shop, shop.trainee, on, by=shop.other_senior)
        with pytest.raises(Refused, match="Choose that day or"):
            entries.record_observation(
                person=shop.trainee,
                level=shop.level,
                observer=shop.senior,
                revision=shop.revision,
                variant={"ring": "prong"},
                lines=seen_lines(shop.revision),
                on=on,
                today=TODAY,
                now=NOW,
            )
        with pytest.raises(Refused, match="Choose that day or"):
            found(shop.trainee, shop.level, shop.owner, on=on)

    def test_a_watcher_who_has_left_is_not_named(self, shop):
        shop.senior.left = days_ago(1)
        shop.senior.save()
        with pytest.raises(Refused, match="can no longer sign in"):
            waiting_job(shop, shop.trainee, days_ago(2))

    def test_a_watcher_is_named_up_to_the_last_day(self, shop):
        shop.senior.left = TODAY
        shop.senior.save()
        assert waiting_job(shop, shop.trainee).watched_by == shop.senior

    def test_nobody_stood_down_enters_an_earlier_job_alone_without_a_senior(self, shop):
        found(shop.mechanic, shop.level, shop.owner)
        down = stood_down(person=shop.mechanic, by=shop.owner, first=days_ago(2))
        with pytest.raises(Refused, match="work alone at this level on that day"):
            own_job(shop, shop.mechanic, days_ago(1))
        with pytest.raises(Refused, match="You were stood down after that day"):
            own_job(shop, shop.mechanic, days_ago(3))
        lifted(standdown=down, by=shop.senior)
        with pytest.raises(Refused, match="You were stood down after that day"):
            own_job(shop, shop.mechanic, days_ago(3))
        with pytest.raises(Refused, match="work alone at this level on that day"):
            own_job(shop, shop.mechanic, days_ago(1))
        own_job(shop, shop.mechanic, days_ago(3), by=shop.senior)
        waiting_job(shop, shop.mechanic, days_ago(3))  # somebody else answers for it
        own_job(shop, shop.mechanic)

    def test_on_the_day_of_lifting_one_is_free_and_enters_the_job_of_that_day(self, shop):
        found(shop.mechanic, shop.level, shop.owner)
        down = stood_down(person=shop.mechanic, by=shop.owner, first=days_ago(1))
        lifted(standdown=down, by=shop.senior, on=days_ago(1))
        own_job(shop, shop.mechanic, days_ago(1))
        with pytest.raises(Refused, match="You were stood down after that day"):
            own_job(shop, shop.mechanic, days_ago(2))


class TestObservations:
    def missing(self, shop):
        told = reasons_against_signing(gather(), "tilda", "air-spring", TODAY, NOW)
        return {reason.code for reason in told}

    def other(self, shop, level="lower-leg"):
        """A write-up of the level whose header names another one."""
        text = shop.revision.text.replace("level: air-spring", f"level: {level}")
        writeup = procedures_actions.bring_writeup(name="release-the-air", title="Release the air")
        text = text.replace("title: Air-spring service", "title: Release the air")
        revision = procedures_actions.bring_revision(
            writeup=writeup, number=1, text=text, asks="nothing", released_on=LONG_AGO, now=NOW
        )
        writeups = ("air-spring-service", "release-the-air")
        set_level(name="air-spring", terms=replace(TERMS, writeups=writeups), now=NOW)
        return revision

    def test_the_page_offers_only_write_ups_that_name_the_level_and_says_why(self, shop, as_):
        self.other(shop)
        page = as_(shop.senior).get("/who-may/air-spring/tilda/observe/").text
        assert 'value="air-spring-service"' in page
        assert 'value="release-the-air"' not in page
        assert (
            "Not offered here: Release the air. Its header names lower-leg, so an observation "
            "of it counts there." in page
        )

    def test_one_of_another_levels_write_up_is_refused(self, shop):
        revision = self.other(shop)
        with pytest.raises(Refused, match="does not belong to this level"):
            entries.record_observation(
                person=shop.trainee,
                level=shop.level,
                observer=shop.senior,
                revision=revision,
                variant={"ring": "prong"},
                lines=seen_lines(shop.revision),
                on=TODAY,
                today=TODAY,
                now=NOW,
            )

    def test_an_observation_here_counts_by_the_header_of_its_revision(self, shop):
        observe(shop, shop.trainee)
        assert "not-observed" not in self.missing(shop)

    def test_nobody_observes_who_is_not_alone(self, shop):
        with pytest.raises(Refused, match="work alone at this level on that day"):
            observe(shop, shop.trainee, observer=shop.other_senior)

    def test_an_observation_has_lines(self, shop):
        with pytest.raises(Refused, match="Choose for every line"):
            entries.record_observation(
                person=shop.trainee,
                level=shop.level,
                observer=shop.senior,
                revision=shop.revision,
                variant={"ring": "prong"},
                lines=[],
                on=TODAY,
                today=TODAY,
                now=NOW,
            )

    def test_a_revision_is_not_read_before_the_day_of_its_release(self, shop):
        text, day = shop.revision.text, TODAY + datetime.timedelta(days=1)
        tomorrow = procedures_actions.bring_revision(
            writeup=shop.writeup, number=2, text=text, asks="nothing", released_on=day, now=NOW
        )
        with pytest.raises(Refused, match="not released"):
            entries.record_reading(person=shop.trainee, revision=tomorrow, on=TODAY, now=NOW)
        entries.record_reading(person=shop.trainee, revision=shop.revision, on=TODAY, now=NOW)


class TestAppointments:
    def test_one_is_ended_today_or_later_and_what_was_signed_stays(self, shop):
        row = shop.senior.appointments.get()
        with pytest.raises(Refused, match="today or a later day"):
            end_appointment(appointment=row, until=days_ago(1), by=shop.owner, now=NOW)
        end_appointment(
            appointment=row, until=TODAY, by=shop.owner, now=NOW + datetime.timedelta(hours=1)
        )
        known = [
            Known(gather(), NOW + datetime.timedelta(hours=hours))
            .appointments("sol", "air-spring")[0]
            .until
            for hours in (0, 1)
        ]
        assert known == [None, TODAY]
        assert list(faults()) == []

    def test_an_end_is_earlier_than_the_last_day_there_is(self, shop):
        row = shop.senior.appointments.get()
        end_appointment(
            appointment=row, until=TODAY + datetime.timedelta(days=9), by=shop.owner, now=NOW
        )
        with pytest.raises(Refused, match="ends on 4 Dec 2026 anyway"):
            end_appointment(
                appointment=row, until=TODAY + datetime.timedelta(days=9), by=shop.owner, now=NOW
            )
        end_appointment(appointment=row, until=TODAY, by=shop.owner, now=NOW)

    def test_one_that_is_ended_is_not_carried_on_by_another_of_the_level(self, shop, as_):
        """One within it is not shown, and one that overlaps would make "until today" untrue."""
        whole = shop.senior.appointments.get()
        days = [TODAY + datetime.timedelta(days=number) for number in range(500)]
        for first, until in ((days[30], None), (days[0], days[90]), (days[400], days[450])):
            signing.appoint(
                person=shop.senior,
                level=shop.level,
                by=shop.owner,
                first=first,
                until=until,
                now=NOW,
            )
        page = as_(shop.owner).post(
            f"/appointments/{whole.pk}/end/", {"until": days[0].isoformat()}, follow=True
        )
        assert "signs off Air-spring service until 25 Nov 2026" in page.text
        asking = Asking(gather(), NOW + datetime.timedelta(days=1))
        appointed = [day for day in days if asking.appointment("sol", "air-spring", day)]
        assert appointed == [TODAY]
        assert list(faults()) == []

    def test_only_the_owner_ends_one(self, shop, as_):
        row = shop.senior.appointments.get()
        with pytest.raises(Refused, match="Only the owner can appoint"):
            end_appointment(appointment=row, until=TODAY, by=shop.senior, now=NOW)
        assert (
            as_(shop.senior)
            .post(f"/appointments/{row.pk}/end/", {"until": TODAY.isoformat()})
            .status_code
            == 403
        )
        as_(shop.owner).post(f"/appointments/{row.pk}/end/", {"until": TODAY.isoformat()})
        assert AppointmentEnd.objects.get().until == TODAY

    def test_an_owner_can_be_appointed_and_then_signs(self, shop, ready, as_):
        other = shop.other_senior
        other.trade, other.owner = "owner", True
        other.save()
        found(other, shop.level, shop.owner)
        signing.appoint(
            person=other, level=shop.level, by=shop.owner, first=LONG_AGO, until=None, now=NOW
        )
        assert "Sign off" in as_(other).get("/who-may/air-spring/tilda/").text
        assert as_(other).get("/who-may/air-spring/tilda/sign-off/").status_code == 200
        assert not SignOff.objects.filter(person=shop.trainee).exists()

    @pytest.mark.parametrize(
        ("first", "until"), [(days_ago(1), None), (days_ago(1), TODAY), (TODAY, TODAY)]
    )
    def test_nobody_is_appointed_for_a_day_after_the_last_one(self, shop, first, until):
        shop.other_senior.left = days_ago(1)
        shop.other_senior.save()
        with pytest.raises(Refused):
            signing.appoint(
                person=shop.other_senior,
                level=shop.level,
                by=shop.owner,
                first=first,
                until=until,
                now=NOW,
            )
        signing.appoint(
            person=shop.other_senior,
            level=shop.level,
            by=shop.owner,
            first=LONG_AGO,
            until=days_ago(1),
            now=NOW,
        )
