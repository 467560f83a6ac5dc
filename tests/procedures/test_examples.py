"""Does a draft from the examples stay marked until its values are the shop's own and somebody has
gone through it?
"""

import pytest
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from procedures.actions import writeups as actions
from procedures.actions.desk import bring_example
from procedures.actions.examples import confirm_values, mark_as_read
from procedures.models import Example, Revision, Thing
from procedures.records.refused import Refused
from procedures.writeup.amounts import UNITS
from procedures.writeup.demo_values import MARK, find_demo_values, is_marked_as_demo
from tests.procedures.factories import NOW, TEXT, ShopRulesFactory

EXAMPLE = (
    TEXT.format(title="Air-spring service")
    .replace(
        "Press the valve core until the hiss stops.",
        "Press the valve core until the hiss stops. The gauge reads 0,5 psi, the hose [[7 mm]].",
    )
    .replace("What this is for.", f"**{MARK}** What this is for. | Hose | 40 cm³ |")
)


def said(text, example=EXAMPLE):
    return [(value.step, value.said) for value in find_demo_values(text, example)]


def test_a_value_is_found_in_a_sentence_a_bracket_a_table_and_a_field():
    text = EXAMPLE.replace("tool: shock pump", "tool: shock pump\ntorque: cap 28 ± 2 N·m")
    assert said(text, text) == [
        ("", "200 h"),
        ("", "40 cm³"),
        ("let-air-out", "28 ± 2 N·m"),
        ("let-air-out", "0,5 psi"),
        ("let-air-out", "7 mm"),
    ]


@pytest.mark.parametrize(
    "row", ["Hold it 2 in the vise.", "A Birch-160 hangs there.", "M5x12", "Step 3", "12 o’clock"]
)
def test_what_is_no_value_is_not_asked_about(row):
    assert said(row, row) == []


amounts = st.builds(
    lambda number, unit: f"{number} {unit}",
    st.integers(1, 9999),
    st.sampled_from(sorted(set(UNITS) - {"in"})),
)


@given(st.lists(amounts, min_size=1, max_size=6), st.lists(amounts, max_size=6), st.data())
def test_a_value_is_open_as_long_as_it_stands_anywhere_in_the_draft(theirs, others, data):
    """Whatever it was moved to, and however it is spaced; what the example never had is not."""
    example = "\n".join(f"The one is {one}." for one in theirs)
    kept = data.draw(st.lists(st.sampled_from(theirs), max_size=4))
    draft = "\n".join(f"Here {one.replace(' ', '')} now." for one in [*kept, *others])
    keys = {one.replace(" ", "").replace("Nm", "N·m") for one in theirs}
    wanted = {one for one in (*kept, *others) if one.replace(" ", "").replace("Nm", "N·m") in keys}
    found = {value.key for value in find_demo_values(draft, example)}
    assert found == {one.replace(" ", "").replace("Nm", "N·m") for one in wanted}


@pytest.fixture
def draft(owner):
    ShopRulesFactory()
    return bring_example(name="air-spring-service", text=EXAMPLE, by=owner, now=NOW)


def own(draft, by):
    """The draft with its values the shop's own and without the sentence."""
    text = draft.text.replace(f"**{MARK}** ", "").replace("0,5 psi", "0.7 psi")
    return actions.save_draft(
        revision=draft, text=text, reason="", asks="nothing", by=by, now=NOW, seen=None
    )


def test_it_is_nobodys_draft_without_the_day_of_the_demo(draft):
    assert (draft.author, draft.writers, draft.released_on) == (None, [], None)
    assert Example.objects.get().read_at is None
    assert is_marked_as_demo(draft.text)
    with_day = EXAMPLE.replace("level:", "released: 2026-06-01\nlevel:")
    other = bring_example(name="other", text=with_day, by=Example.objects.get().brought_by, now=NOW)
    assert "released" not in other.text


def test_it_goes_to_review_when_each_value_is_replaced_or_confirmed(draft, senior):
    with pytest.raises(Refused, match="4 values are still the example’s") as refused:
        actions.send_to_review(revision=draft, by=senior, now=NOW)
    assert any("40 cm³" in line for line in refused.value.details)
    # One was replaced; of the other two one is confirmed, and the draft keeps being asked about.
    edited = own(draft, senior)
    assert confirm_values(revision=edited, names={"|40cm³"}, by=senior, now=NOW) == 1
    with pytest.raises(Refused, match="2 values are still the example’s"):
        actions.send_to_review(revision=edited, by=senior, now=NOW)
    confirm_values(revision=edited, names={"let-air-out|7mm", "|200h"}, by=senior, now=NOW)
    assert actions.send_to_review(revision=edited, by=senior, now=NOW).sent_to_review_at


def test_the_sentence_goes_last(draft, senior):
    names = {value.name for value in find_demo_values(draft.text, EXAMPLE)}
    confirm_values(revision=draft, names=names, by=senior, now=NOW)
    with pytest.raises(Refused, match="take that out"):
        actions.send_to_review(revision=draft, by=senior, now=NOW)


def test_a_value_that_comes_back_elsewhere_is_asked_about_again(draft, senior):
    names = {value.name for value in find_demo_values(draft.text, EXAMPLE)}
    confirm_values(revision=draft, names=names, by=senior, now=NOW)
    text = own(draft, senior).text.replace(
        "Put the guard on the shaft.", "Put on the guard of [[7 mm]]."
    )
    moved = actions.save_draft(
        revision=draft, text=text, reason="", asks="nothing", by=senior, now=NOW, seen=None
    )
    with pytest.raises(Refused, match="1 value is still"):
        actions.send_to_review(revision=moved, by=senior, now=NOW)


def test_only_what_the_text_has_is_confirmed_and_only_by_who_may_write(draft, senior, mechanic):
    with pytest.raises(Refused, match="Choose the values"):
        confirm_values(revision=draft, names={"let-air-out|99N·m"}, by=senior, now=NOW)
    with pytest.raises(Refused, match="Your role"):
        confirm_values(revision=draft, names={"|40cm³"}, by=mechanic, now=NOW)


def test_it_is_released_by_somebody_who_has_gone_through_it(draft, senior, second, client, book):
    edited = own(draft, senior)
    names = {"|200h", "|40cm³", "let-air-out|7mm"}
    confirm_values(revision=edited, names=names, by=senior, now=NOW)
    sent = actions.send_to_review(revision=edited, by=senior, now=NOW)
    with pytest.raises(Refused, match="not yet read for this shop"):
        actions.release(revision=sent, by=second, now=NOW)
    assert Revision.objects.get().released_on is None
    client.force_login(second)
    page = reverse("procedures:revision", args=[draft.writeup.name, 1])
    assert "From the examples; not yet read for this shop" in client.get(page).text
    given = {"seen": sent.changed_at.isoformat()}
    refused = client.post(f"{page}release/", given, follow=True)
    assert "tick that you have" in refused.text
    client.post(f"{page}release/", given | {"is_read": "yes"})
    assert Revision.objects.get().released_by == second
    assert Example.objects.get().read_by == second
    assert "From the examples" not in client.get(page).text


def test_list_and_desk_carry_the_mark(draft, client, senior):
    client.force_login(senior)
    assert "From the examples; not yet read" in client.get(reverse("procedures:list")).text
    desk = client.get(reverse("procedures:edit", args=[draft.writeup.name, 1])).text
    assert "not yet read for this shop" in desk
    form = client.get(reverse("procedures:form", args=[draft.writeup.name, 1])).text
    assert "not yet read for this shop" in form
    assert "4 values are still the example’s" in desk
    page = client.get(reverse("procedures:revision", args=[draft.writeup.name, 1]))
    assert page.text.count('name="value"') == 4
    given = {"value": ["|40cm³", "let-air-out|7mm", "|200h"]}
    done = client.post(
        reverse("procedures:confirm-values", args=[draft.writeup.name, 1]), given, follow=True
    )
    assert "3 values are confirmed." in done.text
    assert done.text.count('name="value"') == 1


def test_rules_are_gone_through_once_and_by_who_may_release(db, owner, senior, mechanic, client):
    Example.objects.create(thing=Thing.RULES, brought_by=owner, brought_at=NOW)
    ShopRulesFactory()
    with pytest.raises(Refused, match="Your role"):
        mark_as_read(thing=Thing.RULES, by=mechanic, now=NOW)
    client.force_login(senior)
    assert "not yet read for this shop" in client.get(reverse("procedures:rules")).text
    client.post(reverse("procedures:read-example"), {"thing": "rules", "next": "//elsewhere"})
    assert Example.objects.get().read_by == senior
    assert "not yet read" not in client.get(reverse("procedures:rules")).text
    with pytest.raises(Refused, match="already"):
        mark_as_read(thing=Thing.RULES, by=senior, now=NOW)
