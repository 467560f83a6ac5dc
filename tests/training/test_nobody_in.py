"""Does the site keep to itself what it knows of people, and are people named so that nobody takes
one for another?
"""

import csv
import io
import os
import re
import unicodedata
from pathlib import Path

import pytest
from django.contrib.auth import authenticate
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management import call_command
from django.core.management.base import SystemCheckError
from django.db import IntegrityError, transaction
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from procedures.records.refused import Refused
from procedures.records.wording.say import say
from procedures.writeup.letters import find_fault_of_name, hidden_in, strip_hidden
from tests.training.factories import PASSWORD
from tests.training.shop import stood_down
from training.access.logins import is_taken_by_site
from training.actions.people import add_person, change_person, open_workshop
from training.exchange.folder import cells
from training.exchange.folder.written import as_text, cell, read_written
from training.models import StandDown, User

ROUTES = [
    ("", "login", []),
    ("", "logout", []),
    ("", "password_change", []),
    ("procedures:", "list", []),
    ("quizzes:", "questions", []),
    ("training:", "people", []),
    ("training:", "line", ["x"]),
    ("training:", "healthz", []),
    ("training:", "voids", []),
    ("quizzes:", "refresher", []),
    ("training:", "bench-worker", []),
]


# --- pages ---


@pytest.mark.parametrize(
    "address",
    ["/", "/people/", "/who-may/", "/book/", "/write-ups/", "/people/mika/", "/record/", "/voids/"],
)
def test_a_page_about_people_is_kept_by_no_browser_and_no_proxy(shop, as_, address):
    answer = as_(shop.owner).get(address)
    assert answer.status_code == 200
    assert {"private", "no-store"} <= {word.strip() for word in answer["Cache-Control"].split(",")}


def test_also_the_page_to_sign_in_and_one_that_is_not_there(client, db):
    for address in ("/sign-in/", "/nowhere/"):
        assert "no-store" in client.get(address)["Cache-Control"]


def test_the_bench_script_is_still_asked_for_anew_and_kept(shop, as_):
    assert as_(shop.mechanic).get("/bench/worker.js")["Cache-Control"] == "no-cache"


# --- the folder ---


def test_the_check_says_that_others_can_read_the_folder(settings, tmp_path):
    from training.site.checks import check_folder

    settings.HOME = tmp_path
    tmp_path.chmod(0o750)
    assert [found.id for found in check_folder(None)] == ["training.E001"]
    tmp_path.chmod(0o700)
    assert check_folder(None) == []


@pytest.mark.skipif(
    os.name != "posix" or os.geteuid() != 0, reason="only root can make a folder of somebody else's"
)
def test_a_folder_of_somebody_else_that_others_can_read_is_refused(tmp_path, monkeypatch):
    from django.core.exceptions import ImproperlyConfigured

    from training.site.environment import home_folder

    tmp_path.chmod(0o755)
    monkeypatch.setattr(
        Path,
        "chmod",
        lambda *_: (_ for _ in ()).throw(PermissionError(1, "Operation not permitted")),
    )
    with pytest.raises(ImproperlyConfigured, match="chmod 700"):
        home_folder(tmp_path)


def test_a_command_on_the_records_asks_first_who_else_can_read_them(shop, settings, tmp_path):
    settings.HOME = tmp_path
    tmp_path.chmod(0o750)
    with pytest.raises(SystemCheckError, match="Others on this machine can read"):
        call_command("may", skip_checks=False)


# --- the demo in production ---


def test_a_demo_shop_does_not_serve_in_production(db, settings):
    from django.core.exceptions import ImproperlyConfigured

    from training.site.checks import check_made_up, must_be_fit

    open_workshop(name="Made up", time_zone="UTC", is_demo=True)
    assert check_made_up(None) == []
    must_be_fit()
    settings.PRODUCTION = True
    assert [found.id for found in check_made_up(None)] == ["training.E002"]
    with pytest.raises(ImproperlyConfigured, match="open_shop"):
        must_be_fit()


def test_a_real_shop_serves_in_production(shop, settings):
    from training.site.checks import check_made_up, must_be_fit

    settings.PRODUCTION = True
    assert check_made_up(None) == []
    must_be_fit()


# --- cells ---

# OWASP, "CSV Injection": what a spreadsheet takes for the beginning of a formula.
FORMULA = ("=", "+", "-", "@", "\t", "\r")


@given(st.text())
def test_a_cell_reads_as_it_was_and_begins_no_formula(text):
    written = as_text(text)
    assert read_written(written) == text
    assert not written.startswith(FORMULA)


@given(st.text(alphabet="'=+-@\t\ra"))
def test_also_where_the_value_begins_with_the_mark_itself(text):
    written = cell(text)
    assert read_written(written) == text
    assert not written.startswith(FORMULA)


@given(st.text(alphabet="';=+-@\t\r\na"))
def test_no_piece_begins_one_where_a_program_parts_cells_at_other_marks(text):
    """Seen: a note “x;=HYPERLINK(…)” is a formula of its own where a spreadsheet parts at
    semicolons, as it does in many countries; quotes in the middle of a line do not stop it.
    """
    written = as_text(text)
    assert read_written(written) == text
    for piece in re.split("[;\t\r\n]", written):
        assert not piece.startswith(("=", "+", "-", "@"))


def test_a_list_that_begins_with_a_sign_is_written_as_text():
    assert cell(["-TW", "B"]) == "'-TW;B"


@given(st.text(alphabet="'=+-@,;\"\na", min_size=1))
def test_a_row_of_csv_reads_as_it_was(text):
    sheet = io.StringIO(newline="")
    csv.writer(sheet, lineterminator="\n").writerow([cell(text)])
    sheet.seek(0)
    assert [read_written(found) for found in next(csv.reader(sheet))] == [text]


# --- logins ---


def test_a_login_is_the_same_in_any_case(shop):
    with pytest.raises(Refused, match="already"):
        add_person(
            login="MIKA", name="Other Mika", trade="trainee", workshop=shop.workshop, started=None
        )
    with pytest.raises(IntegrityError), transaction.atomic():
        User(login="Mika", name="Other", trade="trainee", workshop=shop.workshop).save()


def test_somebody_signs_in_however_the_login_is_typed(shop, client):
    assert client.post("/sign-in/", {"username": "MiKa", "password": PASSWORD}).status_code == 302


@pytest.mark.parametrize(
    "login", ["x" * 60_000, "%" * 60_000, "_ika", "mik%", "İ", "mika\u0130", "mika "]
)
def test_a_login_without_end_or_with_signs_of_a_search_is_nobody(db, shop, client, login):
    page = client.post("/sign-in/", {"username": login, "password": "a shaft without a scratch"})
    assert page.status_code == 200
    assert "/sign-in/" in client.get("/").url


def test_the_first_word_of_no_address_is_a_login():
    firsts = {reverse(f"{space}{name}", args=args).split("/")[1] for space, name, args in ROUTES}
    assert all(is_taken_by_site(word) for word in firsts - {""})


@pytest.mark.parametrize("login", ["new", "People", "admin", "Benchright"])
def test_a_login_that_the_site_uses_is_refused(shop, login):
    assert is_taken_by_site(login)
    with pytest.raises(Refused, match="Choose another login"):
        add_person(
            login=login, name="Nia New", trade="trainee", workshop=shop.workshop, started=None
        )


# That a shop with two logins alike upgrades, and is told what to do, stands in test_history.py.


# --- names ---

# Unicode: right-to-left override and isolates (UAX 9), zero-width space, joiner and no-break space,
# soft hyphen, Hangul filler, a variation selector, a line separator, a tag letter.
HIDDEN = (
    "\u202e\u2066\u2069\u200e\u061c\u200b\u200d\u200c"
    "\ufeff\u00ad\u3164\ufe0f\u2028\U000e0041\x07\x00"
)


@pytest.mark.parametrize("letter", HIDDEN)
def test_a_name_with_a_letter_that_nobody_sees_is_refused(shop, letter):
    with pytest.raises(Refused, match="invisible letter"):
        add_person(
            login="nia",
            name=f"Nia{letter} New",
            trade="trainee",
            workshop=shop.workshop,
            started=None,
        )
    with pytest.raises(Refused, match="invisible letter"):
        change_person(
            person=shop.mechanic,
            by=shop.owner,
            name=f"{letter}Mika",
            trade="mechanic",
            owner=False,
            workshop=shop.workshop,
            started=None,
            left=None,
            is_active=True,
        )
    with pytest.raises(Refused, match="invisible letter"):
        open_workshop(name=f"Shop{letter}", time_zone="UTC")


@pytest.mark.parametrize(
    "name",
    [
        "Zoë O’Neill-Núñez",
        "Łukasz Żółć",
        "Nguyễn Thị Ánh",
        "محمد علي",
        "李小龙",
        "Søren 2",
        "D'Arcy Jr.",
    ],
)
def test_names_of_the_world_are_taken(shop, name):
    person = add_person(
        login="nia",
        name=f"  {unicodedata.normalize('NFD', name)} ",
        trade="trainee",
        workshop=shop.workshop,
        started=None,
    )
    assert person.name == unicodedata.normalize("NFC", name)


def test_a_name_without_a_letter_or_under_a_heap_of_accents_is_refused():
    assert "no letter" in say(find_fault_of_name("…"))
    assert "accents" in say(find_fault_of_name("A" + "\u0301" * 9))
    assert find_fault_of_name("Ǻnn") is None


@given(st.text())
def test_a_text_without_hidden_letters_has_none_and_keeps_the_rest(text):
    plain = strip_hidden(text)
    assert hidden_in(plain) == ""
    assert strip_hidden(plain) == plain
    assert [one for one in plain if one.isalnum()] == [
        one for one in unicodedata.normalize("NFC", text) if one.isalnum() and not hidden_in(one)
    ]


# --- passwords ---


@pytest.mark.parametrize(
    "password",
    [
        "benchright2026",
        "demo-bench-2026",
        "Benchright!2026",
        "2026benchright",
        "password20261",
        "aaaaaaaaaaaa",
        "abababababab",
        "abcdefghijkl",
        "qwertyuiop12",
        "1q1q1q1q1q1q1q",
        "asdfghjkl123",
        "zyxwvutsrqpon",
        "0123456789ab",
        "Mika Mechanic 1",
        "mikamechanic99",
        "mika2026mika",
        "short",
    ],
)
def test_a_password_that_is_tried_first_is_refused(shop, password):
    shop.mechanic.name = "Mika Mechanic"
    with pytest.raises(ValidationError) as refused:
        validate_password(password, shop.mechanic)
    assert all(message.endswith((".", "!")) for message in refused.value.messages)


def test_the_name_of_the_workshop_with_digits_is_refused(shop):
    shop.workshop.name = "Gravel & Air"
    shop.workshop.save()
    for password in ("gravelair2026", "Gravel&Air99!", "2026gravel!!"):
        with pytest.raises(ValidationError, match="would try first"):
            validate_password(password, shop.mechanic)


@pytest.mark.parametrize(
    "password",
    [
        "a fork in the stand",
        "seven mild otters",
        "bench press at noon",
        "Kw7!pellet-ridge",
        "correct horse battery staple",
    ],
)
def test_a_few_words_are_a_password(shop, password):
    validate_password(password, shop.mechanic)


def test_signing_in_asks_the_backend_in_any_case(shop, rf):
    assert authenticate(rf.post("/sign-in/"), username="MIKA", password=PASSWORD) == shop.mechanic


# --- what stands beside a signature ---

# "Trojan Source" (N. Boucher, R. Anderson, 2021): marks of direction make a text show other words
# than it holds.
TROJAN = "The seal is \u202enot\u202c seated.\u200b"


def test_a_reason_is_kept_without_what_nobody_sees(shop, as_):
    answer = as_(shop.senior).post(
        f"/stand-down/{shop.mechanic.login}/",
        {"first": "2026-11-25", "reason": TROJAN, "password": PASSWORD, "mark": "m" * 36},
    )
    assert [row.reason for row in StandDown.objects.all()] == ["The seal is not seated."], (
        answer.text[:3000]
    )


def test_an_action_refuses_it_where_no_page_took_it_out(shop):
    with pytest.raises(Refused, match="invisible letter"):
        stood_down(person=shop.mechanic, by=shop.senior, reason=TROJAN)
    assert not StandDown.objects.exists()


def test_a_line_with_a_hidden_letter_is_told(shop, as_):
    page = as_(shop.senior).get("/recall/", {"tool": "TW\u202e-2"})
    assert "an invisible letter" in page.text


def test_a_folder_comes_in_without_hidden_letters_and_no_name_holds_one():
    assert cells.read_any(TROJAN) == cells.read_text(TROJAN) == "The seal is not seated."
    with pytest.raises(cells.Expected):
        cells.read_printed_name("Mika\u202e")
    with pytest.raises(cells.Expected):
        cells.read_text("\u200b")
