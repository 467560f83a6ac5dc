"""Do the pages show each person what they may see, and does each button do its one thing?"""

import re

import pytest
from django.urls import reverse

from procedures.models import Revision, ShopRules, WriteUp
from tests.procedures.factories import RULES, RevisionFactory, ShopRulesFactory, WriteUpFactory
from tests.training.factories import LevelRulesFactory

pytestmark = pytest.mark.django_db


def address(page, revision):
    return reverse(f"procedures:{page}", args=[revision.writeup.name, revision.number])


@pytest.fixture
def writer(client, senior):
    client.force_login(senior)
    return client


@pytest.fixture
def reader(client, trainee):
    client.force_login(trainee)
    return client


# --- the list


def test_the_list_names_the_current_revision(reader):
    old = RevisionFactory(released=True)
    RevisionFactory(writeup=old.writeup, number=2, released=True)
    page = reader.get(reverse("procedures:list")).text
    assert f'href="{reverse("procedures:revision", args=[old.writeup.name, 2])}"' in page
    assert "2, released" in page
    assert "12 Oct 2026" in page


def test_a_level_is_called_by_its_title(reader):
    LevelRulesFactory(level__name="air-spring", title="Air springs and their seals")
    shown = RevisionFactory(released=True)
    for page in (reverse("procedures:list"), address("revision", shown)):
        assert "Air springs and their seals" in reader.get(page).text


def test_a_trainee_sees_no_draft_and_no_way_to_write(reader):
    draft = RevisionFactory()
    page = reader.get(reverse("procedures:list")).text
    assert draft.writeup.title not in page
    assert "Start" not in page


def test_a_writer_sees_drafts_and_their_state(writer, second):
    draft = RevisionFactory(author=second)
    page = writer.get(reverse("procedures:list")).text
    assert "Revision 1, draft" in page
    assert second.name in page
    assert address("revision", draft) in page


def test_an_empty_list_says_what_to_do(writer):
    assert "No write-ups yet." in writer.get(reverse("procedures:list")).text


@pytest.mark.parametrize("trade", ["trainee", "senior"])
def test_the_list_asks_as_often_for_twenty_write_ups_as_for_one(client, request, trade):
    client.force_login(request.getfixturevalue(trade))
    queries = _queries(client, reverse("procedures:list"))
    for _ in range(20):
        released = RevisionFactory(released=True)
        RevisionFactory(writeup=released.writeup, number=2)
    assert _queries(client, reverse("procedures:list")) == queries


def _queries(client, url):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    with CaptureQueriesContext(connection) as seen:
        assert client.get(url).status_code == 200
    return len(seen)


# --- one revision


def test_a_revision_asks_which_fork_before_it_shows_steps(reader):
    revision = RevisionFactory(released=True)
    page = reader.get(address("revision", revision)).text
    assert "Which fork or shock is it?" in page
    assert "step-let-air-out" not in page


def test_it_shows_the_steps_of_that_fork(reader):
    revision = RevisionFactory(released=True)
    page = reader.get(address("revision", revision), {"ring": "prong"}).text
    assert 'id="step-walk-ring"' in page
    assert "step-squeeze-ring" not in page
    assert (
        'id="step-squeeze-ring"'
        in reader.get(address("revision", revision), {"ring": "prong", "_all": "yes"}).text
    )


def test_cautions_stand_before_the_text_of_their_step(reader):
    page = reader.get(address("revision", RevisionFactory(released=True)), {"ring": "prong"}).text
    step = page[page.index('id="step-let-air-out"') :]
    assert step.index("WARNING") < step.index("Press the valve core until the hiss stops")


def test_a_retired_revision_says_so_and_names_the_current_one(reader):
    old = RevisionFactory(released=True)
    new = RevisionFactory(writeup=old.writeup, number=2, released=True)
    page = reader.get(address("revision", old)).text
    assert "It is retired." in page
    assert address("revision", new) in page


def test_a_reader_sees_no_findings_and_no_buttons(reader):
    page = reader.get(address("revision", RevisionFactory(released=True))).text
    assert "What the rehearsal found" not in page
    assert "Send this revision back" not in page


def test_a_draft_with_an_error_shows_it_and_offers_no_review(writer):
    ShopRulesFactory(text="temporary: [air let out]\n")
    page = writer.get(address("revision", RevisionFactory())).text
    assert "guard-left" in page
    assert "Send to review" not in page
    assert "Change the draft" in page


def test_the_author_sees_why_release_is_not_offered(writer, senior):
    ShopRulesFactory()
    page = writer.get(address("revision", RevisionFactory(author=senior, in_review=True))).text
    assert "another person must release it" in page
    assert "Release revision" not in page


@pytest.mark.parametrize("trade", ["trainee", "senior"])
def test_a_revision_asks_as_often_among_many_as_alone(client, request, trade):
    client.force_login(request.getfixturevalue(trade))
    ShopRulesFactory()
    revision = RevisionFactory(released=True)
    queries = _queries(client, address("revision", revision))
    for number in range(2, 22):
        RevisionFactory(writeup=revision.writeup, number=number, released=True)
        RevisionFactory(released=True)
    assert _queries(client, address("revision", revision)) == queries


# --- writing


def test_a_writer_starts_a_write_up(writer):
    response = writer.post(reverse("procedures:new"), {"title": "Lower-leg service", "name": ""})
    draft = Revision.objects.get()
    assert draft.writeup.name == "lower-leg-service"
    assert response["Location"] == address("form", draft)


def test_a_taken_name_comes_back_with_the_reason(writer):
    WriteUpFactory(name="wash")
    page = writer.post(reverse("procedures:new"), {"title": "Wash", "name": "wash"}).text
    assert "already exists" in page
    assert WriteUp.objects.count() == 1


def test_a_writer_starts_the_next_revision(writer):
    released = RevisionFactory(released=True)
    response = writer.post(reverse("procedures:next", args=[released.writeup.name]))
    assert response["Location"] == reverse("procedures:edit", args=[released.writeup.name, 2])


def typed(draft, **changed):
    given = {
        "text": draft.text,
        "reason": "",
        "asks": "nothing",
        "seen": draft.changed_at.isoformat(),
    }
    return {**given, **changed}


def test_saving_a_draft_keeps_the_text(writer, senior):
    draft = RevisionFactory()
    text = draft.text.replace("\n", "\r\n") + "One more line.\r\n"
    response = writer.post(
        address("edit", draft), typed(draft, text=text, asks="read again", save="yes")
    )
    assert response["Location"] == address("edit", draft)
    kept = Revision.objects.get()
    assert kept.text == draft.text + "One more line.\n"
    assert (kept.author, kept.asks) == (senior, "read again")


def test_check_tells_the_line_and_saves_nothing(writer):
    ShopRulesFactory()
    draft = RevisionFactory()
    text = draft.text.replace("needs: depressurised", "needs: ring greased")
    page = writer.post(address("edit", draft), typed(draft, text=text, check="yes")).text
    line = text.split("\n").index("needs: ring greased") + 1
    assert f"line {line}, error" in page
    assert "never-made" in page
    assert "needs: ring greased</textarea>" not in page
    assert "needs: ring greased" in page
    assert Revision.objects.get().text == draft.text


@pytest.mark.parametrize(
    "wrong",
    [
        {"asks": "sing"},
        {"seen": "yesterday"},
        {"text": "My words\0"},
        {"text": "My words", "reason": "x" * 3000},
    ],
)
def test_a_wrong_field_never_loses_the_text(writer, wrong):
    draft = RevisionFactory()
    response = writer.post(address("edit", draft), typed(draft, **{"text": "My words", **wrong}))
    assert response.status_code == 200
    assert "My words" in response.text
    assert Revision.objects.get().text == draft.text


def test_a_clash_shows_both_texts_and_the_next_save_may_follow(writer):
    draft = RevisionFactory()
    writer.post(address("edit", draft), typed(draft, text="The first text.", save="yes"))
    page = writer.post(address("edit", draft), typed(draft, text="The second text.", save="yes"))
    assert "The first text." in page.text
    assert "The second text." in page.text
    assert Revision.objects.get().text == "The first text."
    seen = page.context["form"]["seen"].value()
    writer.post(
        address("edit", draft), typed(draft, text="The second text.", seen=seen, save="yes")
    )
    assert Revision.objects.get().text == "The second text."


def test_a_text_typed_while_the_draft_went_to_review_comes_back(writer):
    draft = RevisionFactory(in_review=True)
    response = writer.post(address("edit", draft), typed(draft, text="My words", save="yes"))
    assert "My words" in response.text
    assert "in review" in response.text


def test_what_is_no_draft_has_no_editor(writer):
    for revision in (RevisionFactory(in_review=True), RevisionFactory(released=True)):
        assert writer.get(address("edit", revision))["Location"] == address("revision", revision)


def test_from_review_to_release_by_buttons(client, senior, second, book):
    ShopRulesFactory()
    draft = RevisionFactory(author=senior)
    client.force_login(senior)
    client.post(address("send-to-review", draft))
    client.force_login(second)
    page = client.get(address("revision", draft))
    client.post(address("release", draft), {"seen": page.context["page"].seen})
    released = Revision.objects.get()
    assert released.released_by == second
    assert released.digest in client.get(address("revision", draft)).text


def test_sending_back_wants_a_reason(writer, second):
    revision = RevisionFactory(author=second, in_review=True)
    assert "Fill this in." in writer.post(address("send-back", revision), {"reason": ""}).text
    writer.post(address("send-back", revision), {"reason": "Say which pliers."})
    assert "Say which pliers." in writer.get(address("edit", revision)).text


def test_a_refusal_is_told_on_the_page(writer, senior):
    revision = RevisionFactory(author=senior, in_review=True)
    page = writer.post(
        address("release", revision), {"seen": revision.changed_at.isoformat()}, follow=True
    ).text
    assert "You changed this draft, so another person must release it." in page
    assert Revision.objects.get().released_on is None


# --- the rules


def test_rules_that_change_released_write_ups_are_shown_first_and_kept_at_the_second_press(
    writer, book
):
    RevisionFactory(released=True)
    ShopRulesFactory()
    stricter = RULES.replace("air let out}", "air let out, new danger: never so}").replace(
        "[shaft guarded]", "[shaft guarded, air let out]"
    )
    sent = {"text": stricter, "seen": str(ShopRules.objects.get().pk)}
    page = writer.post(reverse("procedures:rules"), sent)
    assert "These rules are not saved yet." in page.text
    assert "New error:" in page.text
    assert ShopRules.objects.count() == 1
    known = re.search(r'name="known" value="([0-9a-f]+)"', page.text)[1]
    assert writer.post(reverse("procedures:rules"), {**sent, "known": known}).status_code == 302
    newest = ShopRules.objects.latest("pk")
    assert newest.text.strip() == stricter.strip()
    compared = writer.get(reverse("procedures:rules-version", args=[newest.pk])).text
    assert "<ins>" in compared
    assert "<del>" in compared


def test_a_draft_that_a_follower_would_not_fit_any_more_says_so(writer, book):
    before = RevisionFactory(
        released=True,
        text="---\ntitle: Before\ngiven: [dry]\nleaves: [dry]\n---\n## A\n\n### Wipe\n\nWipe it.\n",
    )
    RevisionFactory(
        released=True,
        text=f"---\ntitle: Later\ngiven: [dry]\nfollows: {before.writeup.name}\n---\n## A\n\n### "
        "Look\n\nLook at it.\n",
    )
    draft = RevisionFactory(
        writeup=before.writeup, number=2, text=before.text.replace("leaves: [dry]\n", "")
    )
    page = writer.get(reverse("procedures:revision", args=[before.writeup.name, draft.number])).text
    assert "no longer fit it" in page
    assert "Later" in page


def test_a_writer_keeps_new_rules(writer, book):
    page = writer.get(reverse("procedures:rules"))
    writer.post(
        reverse("procedures:rules"),
        {"text": "temporary: [shaft guarded]\n", "seen": page.context["form"]["seen"].value()},
    )
    assert ShopRules.objects.get().text == "temporary: [shaft guarded]\n"


def test_rules_that_cannot_be_read_come_back_as_typed(writer, book):
    page = writer.post(reverse("procedures:rules"), {"text": "safe: [a, b]\n", "seen": "0"}).text
    assert "safe: [a, b]" in page
    assert "line 1" in page
    assert not ShopRules.objects.exists()


# --- who may come in

READERS = {"list": 200, "new": 403, "rules": 403}


@pytest.mark.parametrize("trade", ["trainee", "mechanic"])
@pytest.mark.parametrize("act", ["revision", "edit", "send-to-review", "send-back", "release"])
def test_readers_never_learn_of_a_draft(client, request, trade, act):
    client.force_login(request.getfixturevalue(trade))
    for draft in (RevisionFactory(), RevisionFactory(in_review=True)):
        method = client.get if act in ("revision", "edit") else client.post
        assert method(address(act, draft)).status_code == 404


@pytest.mark.parametrize("trade", ["trainee", "mechanic"])
def test_readers_do_not_write(client, request, trade):
    client.force_login(request.getfixturevalue(trade))
    revision = RevisionFactory(released=True)
    for page, status in READERS.items():
        assert client.get(reverse(f"procedures:{page}")).status_code == status
    for page in ("edit", "send-to-review", "send-back", "release"):
        assert client.post(address(page, revision)).status_code == 403
    assert client.post(reverse("procedures:next", args=[revision.writeup.name])).status_code == 403
    assert client.post(reverse("procedures:next", args=["nothing"])).status_code == 403


def test_nobody_comes_in_without_signing_in(client):
    assert client.get(reverse("procedures:list")).status_code == 302


@pytest.mark.parametrize("act", ["send-to-review", "send-back", "release"])
def test_a_write_is_never_a_get(writer, act):
    assert writer.get(address(act, RevisionFactory())).status_code == 405


def test_what_is_not_there_is_not_found(writer):
    released = RevisionFactory(released=True)
    for number in (2, 0, 10**30):
        assert (
            writer.get(
                reverse("procedures:revision", args=[released.writeup.name, number])
            ).status_code
            == 404
        )
    assert writer.post(reverse("procedures:next", args=["nothing"])).status_code == 404
