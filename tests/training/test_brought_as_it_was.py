"""Does what is brought in come in as it stands in the folder, with nobody able to sign in, and
nothing out of bounds?
"""

import pytest
from django.core.management import CommandError, call_command

from tests.training.test_take import command
from training import models as rows

pytestmark = pytest.mark.django_db

PEOPLE = (
    "login,name,workshop,trade,started,left\nada,Ada Demo,Demo Works,owner,2022-01-03,\nbo,Bo "
    "Demo,Demo Works,trainee,2022-01-03,\n"
)
LEVELS = (
    "level,title,earlier,writeups,valid_months,practice_jobs,practice_months,watched_jobs,observations,pass_percent,grace_days\n"
    "air,Air,,,{months},0,0,0,0,{percent},0\n"
)
JOBS = (
    "login,level,on,watched_by,variant,came_back,note{more}\nbo,air,2026-01-05,ada,,yes,The seal "
    "wept.{values}\nbo,air,2026-01-06,ada,,no,{values}\n"
)
SHEET = (
    "---\ntitle: Seal check\nreleased: 2026-01-05\n{at}---\n\n## Look first\n\n### Look\n\nLook "
    "at the fork.\n"
)


def write(folder, *, months="24", percent="0", jobs="", **files):
    made = {
        "people": PEOPLE,
        "levels": LEVELS.format(months=months, percent=percent),
        "jobs": jobs or JOBS.format(more="", values=""),
        **files,
    }
    for name, text in made.items():
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    return folder


def refused(folder):
    import io

    out = io.StringIO()
    with pytest.raises(CommandError):
        call_command("bring", str(folder), stdout=out, stderr=out)
    return out.getvalue()


def test_nobody_who_is_brought_in_can_sign_in(tmp_path):
    command("bring", write(tmp_path))
    assert [person.has_usable_password() for person in rows.User.objects.all()] == [False, False]


def test_a_job_keeps_that_it_came_back_and_its_note(tmp_path):
    command("bring", write(tmp_path))
    assert list(rows.Job.objects.order_by("pk").values_list("came_back", "note")) == [
        (True, "The seal wept."),
        (False, ""),
    ]


def test_a_watched_job_from_elsewhere_waits_for_nobody(tmp_path):
    command("bring", write(tmp_path))
    assert not rows.Job.objects.filter(needs_confirmation=True).exists()


def test_what_a_watcher_said_comes_in_with_its_job(tmp_path):
    more = ",confirmation,confirmation_at,confirmation_reason"
    jobs = JOBS.format(more=more, values=",{}").format(
        "refused,2026-01-07T09:00:00Z,I was ill", "waiting,,"
    )
    command("bring", write(tmp_path, jobs=jobs))
    assert rows.Job.objects.filter(needs_confirmation=True).count() == 2
    said = rows.JobConfirmation.objects.get()
    assert (said.confirmed, said.reason, said.by.login, said.job.came_back) == (
        False,
        "I was ill",
        "ada",
        True,
    )


@pytest.mark.parametrize(
    ("values", "wrong"),
    [
        ("refused,2026-01-07T09:00:00Z,", "confirmation_reason: the cell is empty"),
        ("confirmed,,", "confirmation_at: 'confirmed' does not go with it"),
        ("waiting,2026-01-07T09:00:00Z,", "confirmation_at: 'waiting' does not go with it"),
        (",2026-01-07T09:00:00Z,", "confirmation: the cell is empty"),
        ("yes,2026-01-07T09:00:00Z,", "confirmation: 'yes' cannot be read"),
        ("confirmed,2026-01-07T09:00:00,", "confirmation_at: '2026-01-07T09:00:00' cannot be read"),
    ],
)
def test_a_word_that_does_not_fit_is_told(tmp_path, values, wrong):
    jobs = JOBS.format(
        more=",confirmation,confirmation_at,confirmation_reason", values=f",{values}"
    )
    assert f"jobs.csv, row 2, {wrong}" in refused(write(tmp_path, jobs=jobs))
    assert not rows.User.objects.exists()


@pytest.mark.parametrize(
    ("ends", "wrong"),
    [
        ("2026-03-01,2026-03-02T09:00:00Z,ada", "ended: 2026-03-01 is before"),
        (
            "2026-03-01;2026-02-01,2026-01-02T09:00:00Z,ada",
            "ended: ended, ended_at and ended_by do not hold the same number",
        ),
        ("2026-03-01,2026-01-02T09:00:00Z,nobody", "ended_by: 'nobody' is not known"),
    ],
)
def test_an_early_end_that_does_not_fit_is_told(tmp_path, ends, wrong):
    appointments = (
        f"login,level,by,from,until,ended,ended_at,ended_by\nbo,air,ada,2026-01-01,,{ends}\n"
    )
    assert f"appointments.csv, row 2, {wrong}" in refused(
        write(tmp_path, appointments=appointments)
    )


@pytest.mark.parametrize(
    ("months", "is_taken"), [("0", False), ("1", True), ("1200", True), ("1201", False)]
)
def test_a_sign_off_is_valid_for_1_to_1200_months(tmp_path, months, is_taken):
    folder = write(tmp_path, months=months)
    if is_taken:
        command("bring", folder)
    else:
        assert "valid_months" in refused(folder)


@pytest.mark.parametrize(("percent", "is_taken"), [("100", True), ("101", False)])
def test_a_pass_mark_is_at_most_everything(tmp_path, percent, is_taken):
    folder = write(tmp_path, percent=percent)
    if is_taken:
        command("bring", folder)
    else:
        assert "pass_percent" in refused(folder)


@pytest.mark.parametrize(("last", "is_taken"), [("2022-01-03", True), ("2022-01-02", False)])
def test_the_last_day_may_be_the_first_and_no_day_before_it(tmp_path, last, is_taken):
    folder = write(
        tmp_path, people=PEOPLE.replace("trainee,2022-01-03,", f"trainee,2022-01-03,{last}")
    )
    if is_taken:
        command("bring", folder)
    else:
        assert "people.csv, row 3, left" in refused(folder)


@pytest.mark.parametrize(
    ("at", "wrong"),
    [
        ("2026-01-05T15:47:00+00:00", ""),
        ("2026-01-05T23:30:00-01:00", "lies on 2026-01-06 in the workshop's time zone"),
        ("2026-01-05T15:47:00", "released_at"),
    ],
)
def test_the_moment_of_release_lies_on_its_day_and_says_its_offset(tmp_path, settings, at, wrong):
    settings.TIME_ZONE = "UTC"
    folder = write(tmp_path)
    (folder / "workshops.csv").write_text("workshop,time_zone\nDemo Works,UTC\n", encoding="utf-8")
    (folder / "writeups").mkdir()
    (folder / "writeups" / "seal-check.md").write_text(
        SHEET.format(at=f"released_at: {at}\n"), encoding="utf-8"
    )
    if wrong:
        assert wrong in refused(folder)
    else:
        command("bring", folder)
        revision = rows.evidence.Revision.objects.get()
        assert revision.released_at.isoformat() == at
        assert "released_at" not in revision.text
