"""Do the pages on standing say what the standing says, and does what the shop writes stay text?"""

import datetime

from django.template.loader import render_to_string
from django.urls import reverse

from tests.training.factories import UserFactory
from tests.training.shop import LONG_AGO, NOW, TODAY, found, stood_down, watched_job
from training.actions.levels import set_level
from training.models import Absence, Rota
from training.records.wording.reasons import REASONS
from training.records.wording.steps import COUNTED, STEPS
from training.reports import who_may as report
from training.reports.who_may_table import table_rows
from training.standing.rules.ruleset import RULES
from training.standing.terms import Terms

HOSTILE = """<b>"O'Neil" & co</b>"""


def set_rules(shop, **more):
    terms = {
        "title": "Air-spring service",
        "valid_months": 24,
        "writeups": ("air-spring-service",),
        "pass_percent": 75,
    }
    set_level(name="air-spring", terms=Terms(**terms | more), now=NOW, by=shop.owner)


def stand_down(shop, person, first=TODAY):
    return stood_down(
        person=person, level=shop.level, first=first, by=shop.owner, reason="A ring came out."
    )


class TestBigTable:
    def test_a_cell_without_a_day_is_what_the_template_writes(self, shop):
        stand_down(shop, shop.mechanic)
        rows = table_rows(report.grid(on=TODAY, known_at=NOW, variant={}), "")
        for standing in ("no", "stopped"):
            piece = render_to_string("pieces/_standing.html", {"standing": standing}).strip()
            assert piece in rows

    def test_names_are_escaped_and_addresses_lead_where_the_routes_do(self, shop):
        UserFactory(login="o'neil", name=HOSTILE, workshop=shop.workshop)
        rows = table_rows(
            report.grid(on=TODAY, known_at=NOW, variant={}), "on=2026-11-25&v-ring=prong"
        )
        assert HOSTILE not in rows
        assert "<b>&quot;" not in rows
        assert "&lt;b&gt;&quot;O&#x27;Neil&quot; &amp; co&lt;/b&gt;" in rows
        for login in ("tilda", "o'neil"):
            address = reverse("training:one", args=("air-spring", login)).replace("'", "&#x27;")
            assert f'href="{address}?on=2026-11-25&amp;v-ring=prong"' in rows

    def test_for_one_level_those_come_first_who_may_and_are_there(self, shop):
        found(shop.mechanic, shop.level, shop.owner)
        every = dict.fromkeys(("mon", "tue", "wed", "thu", "fri"), True)
        for person in (shop.trainee, shop.other_senior, shop.senior):
            Rota.objects.create(person=person, workshop=shop.workshop, **every)
        Absence.objects.create(person=shop.other_senior, first=TODAY, until=TODAY)
        found(shop.other_senior, shop.level, shop.owner)
        rows = report.grid(on=TODAY, known_at=NOW, variant={}, level="air-spring").rows
        # of those who may: there, away, not on the rota; then who is there and may not
        assert [row.person.login for row in rows] == ["sol", "wim", "mika", "tilda", "odile"]

    def test_so_many_people_stand_on_a_page_and_the_counts_are_over_all(
        self, shop, as_, monkeypatch
    ):
        monkeypatch.setattr(report, "PEOPLE_A_PAGE", 2)
        first = as_(shop.owner).get("/who-may/").text
        assert first.count('<th scope="row">') == 2
        assert "Page 1 of 3." in first
        assert "page=2" in first
        assert "Sol Senior" in first
        last = as_(shop.owner).get("/who-may/?page=3").text
        assert "Wim Writer" in last
        assert "1 may, 0 at work" in last  # the senior, who is on the first page
        assert "Sol Senior" not in last
        assert "Show the names after these" not in last


class TestOneAnswer:
    def test_each_rule_stands_with_its_evidence_and_its_yardstick(self, shop, as_):
        text = as_(shop.owner).get("/who-may/air-spring/sol/").text
        assert "A sign-off for this fork or shock, valid for 24 months." in text
        signed = "first sign-off of 5 Jan 2026 by the owner, Odile Owner"
        assert f"{signed}, valid until 5 Jan 2028" in text
        assert "Signed off until 5 Jan 2028." in text
        assert "Inspired by 29 CFR 1910.178(l)(4)(iii)" in text
        assert "conforms" not in text

    def test_what_the_owner_wrote_beside_the_rules_is_shown(self, shop, as_):
        set_rules(shop, yardstick="ISO 9606-1, 9.2")
        assert (
            "the example for these rules: ISO 9606-1, 9.2"
            in as_(shop.owner).get("/who-may/air-spring/sol/").text
        )

    def test_write_ups_go_by_their_titles(self, shop, as_):
        text = as_(shop.owner).get("/who-may/air-spring/tilda/").text
        assert "Not read yet: Air-spring service (revision 1)." in text
        assert "air-spring-service revision" not in text
        assert "<small>Air-spring service (revision 1)</small>" in text  # the evidence, in words

    def test_nobody_is_stood_down_twice_and_the_reason_is_told_once(self, shop, as_):
        assert "/stand-down/mika/" in as_(shop.owner).get("/who-may/air-spring/mika/").text
        down = stand_down(shop, shop.mechanic)
        text = as_(shop.owner).get("/who-may/air-spring/mika/").text
        assert "/stand-down/mika/" not in text
        assert f"/lift/{down.pk}/" in text
        assert text.count("A ring came out.") == 1
        assert "stood down from 25 Nov 2026 by" not in text

    def test_entries_stand_in_the_order_of_their_days(self, shop, as_):
        watched_job(shop, shop.trainee, on=TODAY)
        watched_job(shop, shop.trainee, on=TODAY - datetime.timedelta(days=9))
        record = as_(shop.owner).get("/who-may/air-spring/tilda/").text.partition("On record")[2]
        assert record.index("16 Nov 2026") < record.index("25 Nov 2026")

    def test_the_field_of_the_day_shows_the_day_that_is_answered(self, shop, as_):
        text = as_(shop.owner).get("/who-may/", {"level": "air-spring"}).text
        assert f'value="{TODAY.isoformat()}"' in text

    def test_a_past_day_can_be_seen_as_it_was_known_then_and_back(self, shop, as_):
        found(shop.mechanic, shop.level, shop.owner, on=LONG_AGO)  # recorded today
        browser = as_(shop.owner)
        now = browser.get("/who-may/air-spring/mika/?on=2026-02-02").text
        assert "?on=2026-02-02&amp;known_on=2026-02-02" in now
        assert "May work alone." in now
        then = browser.get("/who-may/air-spring/mika/?on=2026-02-02&known_on=2026-02-02").text
        assert "May work alone." not in then
        assert "Show it as known now" in then
        assert "Show it as known then" not in browser.get("/who-may/air-spring/mika/").text


class TestTimeLine:
    def test_the_table_says_each_span_and_the_drawing_has_title_and_description(self, shop, as_):
        text = as_(shop.owner).get("/line/sol/?first=2026-01-01&until=2028-02-01").text
        assert '<title id="spans-title">What Sol Senior may do, level by level</title>' in text
        assert '<desc id="spans-desc">' in text
        table = text.partition("<tbody>")[2]
        for day in (
            "2026-01-01",
            "2026-01-04",
            "2026-01-05",
            "2028-01-05",
            "2028-01-06",
            "2028-02-01",
        ):
            assert f'datetime="{day}"' in table
        assert "was valid until 5 Jan 2028" in table

    def test_a_person_sees_the_own_line_and_a_day_that_cannot_be_read_is_left_out(self, shop, as_):
        assert as_(shop.mechanic).get("/line/mika/?first=soon").status_code == 200

    def test_days_the_wrong_way_round_are_told(self, shop, as_):
        assert (
            "is before the first day"
            in as_(shop.owner).get("/line/sol/?first=2026-05-01&until=2026-04-01").text
        )

    def test_a_hostile_title_stays_text_in_the_drawing(self, shop, as_):
        set_rules(shop, title=HOSTILE)
        text = as_(shop.owner).get("/line/sol/").text
        drawn = text.partition('class="scroll chart"')[2].partition("</svg>")[0]
        assert "&lt;b&gt;" in drawn
        assert "<b>" not in drawn

    def test_it_says_first_where_somebody_may_work_alone_and_what_ends_next(self, shop, as_):
        text = as_(shop.owner).get("/line/sol/").text
        assert "May work alone today at 1 of 1 level" in text
        assert "Runs out first: Air-spring service, alone until 5 Jan 2028." not in text
        until = as_(shop.owner).get("/line/sol/?until=2028-02-01").text
        assert "Runs out first: Air-spring service, alone until 5 Jan 2028." in until
        assert "May not work alone at any level today" in as_(shop.owner).get("/line/tilda/").text
        past = as_(shop.owner).get("/line/sol/?first=2026-01-01&until=2026-02-01").text
        assert "Level by level" in past


class TestWhatChanged:
    def test_a_standing_that_changed_is_told_with_its_reasons(self, shop, as_):
        stand_down(shop, shop.senior)
        text = as_(shop.owner).get("/who-may/changed/?since=2026-11-01&on=2026-11-25").text
        assert "Sol Senior" in text
        assert "Stood down from Air-spring service since 25 Nov 2026" in text
        assert "Mika" not in text.partition("<main")[2]

    def test_nothing_changed_is_said(self, shop, as_):
        assert (
            "Nothing has changed since that day"
            in as_(shop.owner).get("/who-may/changed/?since=2026-11-24&on=2026-11-25").text
        )


class TestOtherRules:
    def test_shorter_validity_puts_people_off_on_the_days_it_says(self, shop, as_):
        asked = (
            "valid_months=3&practice_jobs=0&practice_months=0&grace_days=0"
            "&first=2026-01-01&until=2026-11-25"
        )
        text = as_(shop.owner).get(f"/levels/air-spring/other-rules/?{asked}").text
        # signed 5 Jan 2026, three months: off from 6 Apr until the last day asked about, 234 days
        # by the calendar
        assert "6 Apr 2026 to 25 Nov 2026" in text
        assert "234" in text
        assert (datetime.date(2026, 11, 25) - datetime.date(2026, 4, 6)).days + 1 == 234

    def test_asking_changes_nothing_and_the_own_numbers_are_filled_in(self, shop, as_):
        before = list(shop.level.rules.values())
        text = as_(shop.owner).get("/levels/air-spring/other-rules/").text
        assert 'value="24"' in text
        assert list(shop.level.rules.values()) == before


def test_a_trainee_sees_the_first_reason_beside_the_standing(shop, as_):
    text = as_(shop.trainee).get("/").text
    block = text.partition('class="standing no"')[2].partition("</p>")[0]
    assert "<small>Not signed off for Air-spring service yet.</small>" in block


def test_every_reason_belongs_to_one_rule_that_is_told():
    every = (*RULES.alone, *RULES.before)
    told = [code for rule in every for code in rule.steps]
    assert sorted(told) == sorted(set(told))
    codes = {step.code for rule in every for step in rule.steps.values()}
    assert codes | {"stay-in-practice"} == {*STEPS, *COUNTED}
    assert set(told) < set(REASONS)
