"""Can a shop write its rules row by row, without losing what was typed and without being surprised
by what they change?
"""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from lxml import html

from procedures.models import ShopRules
from procedures.reports.rules import effect_of
from procedures.writeup.demands import Demand
from procedures.writeup.rules import ShopRules as Rules
from procedures.writeup.rules import read_rules
from procedures.writeup.rules_text import heading_of, write_rules
from tests.procedures.factories import RevisionFactory, ShopRulesFactory

pytestmark = pytest.mark.django_db
ADDRESS = "/write-ups/rules/"
FULL = """\
# What this shop has learnt.
# Second remark.
safe:
  air chamber: air let out
  heat: off
temporary:
  - shaft guarded
same:
  - [air let out, depressurised]
states:
  - [feet up, feet down]
demands:
  - when:
      tool: [ring pliers, plastic pick]
      takes off: retaining ring
      uses: grease
    needs: [shaft guarded, "yes"]
    because: pliers slip
  - when: {opens: air chamber}
    caution: warning
    names: line of the tube
    because: "a part: it flies"
"""


@pytest.fixture
def writer(client, senior):
    client.force_login(senior)
    return client


def of(page, path):
    """The pieces of a page under an XPath."""
    return html.fromstring(page.content.decode()).xpath(path)


def plain(piece):
    """The words of a piece, with single spaces."""
    return " ".join(piece.text_content().split())


def fields(page):
    """What the form of rows would send: every field by its name, with its value, and no button."""
    (form,) = of(page, "//form[@class='rules']")
    sent = {
        field.get("name"): field.get("value", "")
        for field in form.xpath(".//input[@name != 'csrfmiddlewaretoken']")
    }
    for select in form.xpath(".//select"):
        sent[select.get("name")] = (select.xpath(".//option[@selected]/@value") or [""])[0]
    return sent


def test_rules_written_down_read_as_the_same_rules():
    rules = read_rules(FULL)
    assert read_rules(write_rules(rules)) == rules
    assert write_rules(rules, heading_of(FULL)).startswith(
        "# What this shop has learnt.\n# Second remark.\nsafe:"
    )
    assert write_rules(Rules()) == ""


def test_saving_the_rows_as_they_are_changes_no_rule(writer, book):
    ShopRulesFactory(text=FULL)
    page = writer.get(ADDRESS)
    assert writer.post(ADDRESS, fields(page)).status_code == 302
    first, second = ShopRules.objects.order_by("pk")
    assert read_rules(first.text) == read_rules(second.text)
    assert second.text.startswith("# What this shop has learnt.\n# Second remark.\n")


def test_a_row_is_added_and_taken_out_by_a_button_that_saves_nothing(writer, book):
    ShopRulesFactory(text=FULL)
    sent = fields(writer.get(ADDRESS)) | {"demands-0-because": "half a sentence"}
    more = writer.post(ADDRESS, sent | {"add": "demands"})
    assert fields(more)["demands-TOTAL_FORMS"] == "3"
    assert fields(more)["demands-0-because"] == "half a sentence"
    assert "demands-2-field_1" in fields(more)
    less = writer.post(ADDRESS, fields(more) | {"remove": "demands-0"})
    assert fields(less)["demands-TOTAL_FORMS"] == "2"
    assert fields(less)["demands-0-names"] == "line of the tube"
    assert ShopRules.objects.count() == 1


def test_a_new_demand_is_saved_from_its_row(writer, book):
    page = writer.post(ADDRESS, fields(writer.get(ADDRESS)) | {"add": "demands"})
    row = {
        "field_1": "tool",
        "listed_1": "strap wrench; plastic pick",
        "needs": "shaft guarded",
        "because": "it slips",
    }
    writer.post(ADDRESS, fields(page) | {f"demands-0-{name}": value for name, value in row.items()})
    assert read_rules(ShopRules.objects.get().text).demands == (
        Demand((("tool", ("strap wrench", "plastic pick")),), "it slips", ("shaft guarded",)),
    )


@pytest.mark.parametrize(
    ("row", "why"),
    [
        ({"field_1": "tool", "listed_1": "pick", "needs": "x"}, "Fill this in."),
        ({"field_1": "tool", "needs": "x", "because": "y"}, "Name at least one."),
        ({"listed_1": "pick", "needs": "x", "because": "y"}, "Choose what the step does with it."),
        (
            {"field_1": "tool", "listed_1": "pick", "because": "y"},
            "Say what the step needs, or which message it must have.",
        ),
        (
            {"field_1": "tool", "listed_1": "pick", "needs": "x", "because": "y", "names": "z"},
            "Fill in both",
        ),
        (
            {
                "field_1": "tool",
                "listed_1": "pick",
                "field_2": "tool",
                "listed_2": "rag",
                "needs": "x",
                "because": "y",
            },
            "is here twice",
        ),
    ],
)
def test_a_row_that_is_not_right_says_what_to_do_and_loses_nothing(writer, row, why):
    page = writer.post(ADDRESS, fields(writer.get(ADDRESS)) | {"add": "demands"})
    sent = fields(page) | {f"demands-0-{name}": value for name, value in row.items()}
    again = writer.post(ADDRESS, sent)
    assert why in again.text
    assert fields(again) == sent
    assert "<details open>" in again.text
    assert not ShopRules.objects.exists()


def test_a_fact_in_two_groups_and_a_danger_twice_are_refused_with_all_rows(writer):
    sent = fields(writer.get(ADDRESS))
    for _ in range(2):
        sent = fields(writer.post(ADDRESS, sent | {"add": "states"}))
    again = writer.post(
        ADDRESS, sent | {"states-0-words": "up; down", "states-1-words": "side; up"}
    )
    assert "“up” is in two groups of states." in again.text
    assert "line " not in plain(of(again, "//*[@class='wrong-form']")[0])
    assert fields(again)["states-1-words"] == "side; up"
    sent = fields(writer.get(ADDRESS))
    for _ in range(2):
        sent = fields(writer.post(ADDRESS, sent | {"add": "safe"}))
    rows = {"safe-0-danger": "air", "safe-0-fact": "a", "safe-1-danger": "air", "safe-1-fact": "b"}
    assert "is here twice" in writer.post(ADDRESS, sent | rows).text


def test_each_row_says_which_steps_it_touches(writer):
    # Of the text: “Guard the shaft” makes the guard and “Take the guard off” ends it; one step
    # opens the chamber; nothing uses a tool of the demand.
    RevisionFactory(released=True, writeup__title="Demo service")
    ShopRulesFactory(
        text="safe: {air chamber: air let out}\ntemporary: [shaft guarded]\ndemands: [{when: "
        "{tool: shock pump}, needs: a, because: b}, {when: {tool: saw}, needs: a, because: "
        "b}]\n"
    )
    told = [
        plain(each) for each in of(writer.get(ADDRESS), "//ol[@class='rows']/li/p[@class='help']")
    ]
    assert told == [
        "Touches 1 step of Demo service.",
        "Touches 2 steps of Demo service.",
        "Touches 1 step of Demo service.",
        "No step of a released write-up changes.",
    ]


def test_new_rules_are_tried_on_every_released_write_up_and_name_the_demand_that_spoils_one(
    writer, book
):
    RevisionFactory(released=True, writeup__title="Demo service")
    RevisionFactory(
        released=True, text="---\ntitle: Another\n---\n## A\n\n### Wipe\ntool: cloth\n\nWipe it.\n"
    )
    ShopRulesFactory()
    sent = fields(writer.post(ADDRESS, fields(writer.get(ADDRESS)) | {"add": "demands"}))
    row = {
        "field_1": "tool",
        "listed_1": "Shock pump",
        "needs": "goggles on",
        "because": "oil mist hurts the eyes",
    }
    page = writer.post(ADDRESS, sent | {f"demands-0-{name}": value for name, value in row.items()})
    said = plain(of(page, "//*[@class='note']")[0])
    assert "The rehearsal tried all 2 released write-ups with these rules." in said
    assert (
        "The rehearsal of Demo service now finds something else. "
        "The row “tool: Shock pump” asks for this." in said
    )
    assert "oil mist hurts the eyes" in said
    assert "Another no longer" not in said
    assert ShopRules.objects.count() == 1
    assert writer.post(ADDRESS, fields(page)).status_code == 302
    assert ShopRules.objects.count() == 2


def test_a_finding_that_another_write_up_of_the_same_title_has_already_hides_no_new_one(db):
    """Without the states nothing ends the guard of the second one any more."""
    step = "### Step {0}\nmakes: {0}\n\nDo it.\n"
    for facts in ("g", "gf"):
        body = "".join(map(step.format, facts))
        RevisionFactory(released=True, text=f"---\ntitle: Same\n---\n## A\n\n{body}")
    ShopRulesFactory(text="temporary: [g]\nstates: [[g, f]]")
    effect = effect_of("temporary: [g]")
    assert len(effect.come) == len(effect.unclean) == 1
    assert effect.go == ()


def test_the_number_of_queries_does_not_grow_with_the_rows(writer):
    ShopRulesFactory(text="temporary: [a]\n")
    RevisionFactory(released=True)
    writer.get(ADDRESS)
    with CaptureQueriesContext(connection) as few:
        writer.get(ADDRESS)
    ShopRulesFactory(text=f"temporary: [{', '.join(f'a{number}' for number in range(60))}]\n")
    for _ in range(5):
        RevisionFactory(released=True)
    with CaptureQueriesContext(connection) as many:
        writer.get(ADDRESS)
    assert len(many) <= len(few)


def test_enter_in_a_field_saves_and_does_not_take_a_row_out(writer):
    ShopRulesFactory(text=FULL)
    first = of(writer.get(ADDRESS), "//form[@class='rules']//button")[0]
    assert first.get("name") is None
    assert plain(first) == "Save rules"


def test_a_shop_that_has_learnt_much_can_still_save(writer, book):
    demands = "\n".join(
        f"  - {{when: {{tool: tool {number}}}, needs: fact {number}, because: reason {number}}}"
        for number in range(150)
    )
    ShopRulesFactory(text=f"demands:\n{demands}\n")
    assert (
        writer.post(
            ADDRESS, fields(writer.get(ADDRESS)) | {"demands-149-because": "another reason"}
        ).status_code
        == 302
    )
    assert read_rules(ShopRules.objects.latest("pk").text).demands[149].because == "another reason"
