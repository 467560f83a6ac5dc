"""Is nothing lost at the author's desk: not while typing, not in a clash, not by a wrong field?"""

import datetime
import json

import pytest
from django.urls import reverse

from procedures.models import EarlierText, Revision, Typed, WriteUp
from procedures.reports.desk import _some_fork
from procedures.writeup.grammar import KEYS
from procedures.writeup.parse import parse
from procedures.writeup.pieces import FIELDS, PIECES
from tests.procedures.factories import NOW, RevisionFactory, ShopRulesFactory

pytestmark = pytest.mark.django_db


def address(page, revision):
    return reverse(f"procedures:{page}", args=[revision.writeup.name, revision.number])


@pytest.fixture
def writer(client, senior):
    client.force_login(senior)
    return client


@pytest.fixture
def draft(second):
    return RevisionFactory(author=second, writers=[second.pk])


def sent(draft, **changed):
    given = {
        "text": draft.text,
        "reason": "",
        "asks": "nothing",
        "seen": draft.changed_at.isoformat(),
        "desk": "one",
    }
    return given | changed


# --- what is typed


def test_what_is_typed_is_kept_and_is_not_the_draft(writer, draft, senior):
    said = writer.post(address("keep-typing", draft), sent(draft, text="half a sen", reason="bec"))
    assert said.status_code == 200
    assert "not saved yet" in json.loads(said.text)["said"]
    typed = Typed.objects.get()
    assert (typed.text, typed.reason, typed.person, typed.seen) == (
        "half a sen",
        "bec",
        senior,
        draft.changed_at,
    )
    kept = Revision.objects.get()
    assert (kept.text, kept.changed_at, kept.writers) == (
        draft.text,
        draft.changed_at,
        draft.writers,
    )


def test_it_is_offered_at_the_next_opening_to_the_same_person_only(writer, client, draft, second):
    writer.post(address("keep-typing", draft), sent(draft, text="half a sentence <b>"))
    page = writer.get(address("edit", draft)).text
    assert "You typed this and did not save it" in page
    assert "half a sentence &lt;b&gt;" in page
    taken = writer.get(address("edit", draft), {"typed": "one"})
    assert taken.context["form"]["text"].value() == "half a sentence <b>"
    assert taken.context["form"]["desk"].value() == "one"
    client.force_login(second)
    assert "half a sentence" not in client.get(address("edit", draft)).text
    assert "half a sentence" not in client.get(address("edit", draft), {"typed": "one"}).text


def test_two_openings_never_write_over_each_other(writer, draft):
    writer.post(address("keep-typing", draft), sent(draft, text="on the tablet", desk="tablet"))
    writer.post(address("keep-typing", draft), sent(draft, text="on the phone", desk="phone"))
    page = writer.get(address("edit", draft)).text
    assert "on the tablet" in page
    assert "on the phone" in page


def test_a_saved_draft_clears_its_own_desk_and_no_other(writer, draft):
    for desk in ("one", "two"):
        writer.post(address("keep-typing", draft), sent(draft, text=f"typed at {desk}", desk=desk))
    writer.post(address("edit", draft), sent(draft, text="typed at one", save="yes"))
    assert list(Typed.objects.values_list("desk", flat=True)) == ["two"]
    assert Revision.objects.get().text == "typed at one"


def test_what_the_draft_says_already_is_not_kept(writer, draft):
    writer.post(address("keep-typing", draft), sent(draft, text="half"))
    writer.post(address("keep-typing", draft), sent(draft))
    assert not Typed.objects.exists()


def test_what_is_kept_can_be_thrown_away(writer, draft):
    writer.post(address("keep-typing", draft), sent(draft, text="half"))
    writer.post(address("drop-typing", draft), {"desk": "one"})
    assert not Typed.objects.exists()


def test_the_newest_dozen_is_kept(writer, draft, time_machine):
    for number in range(14):
        time_machine.move_to(NOW + datetime.timedelta(minutes=number), tick=False)
        writer.post(
            address("keep-typing", draft), sent(draft, text=f"text {number}", desk=f"d{number}")
        )
    assert sorted(int(desk[1:]) for desk in Typed.objects.values_list("desk", flat=True)) == list(
        range(2, 14)
    )


def test_typing_goes_on_being_kept_while_the_draft_is_in_review(writer, second):
    draft = RevisionFactory(author=second, in_review=True)
    assert writer.post(address("keep-typing", draft), sent(draft, text="half")).status_code == 200
    assert Typed.objects.get().text == "half"


@pytest.mark.parametrize(
    ("wrong", "status"),
    [
        ({"text": "x\0"}, 400),
        ({"seen": "yesterday"}, 400),
        ({"seen": ""}, 400),
        ({"desk": "a b"}, 409),
        ({"desk": ""}, 409),
        ({"text": "x" * 100_001}, 400),
    ],
)
def test_what_cannot_be_kept_is_told(writer, draft, wrong, status):
    answer = writer.post(address("keep-typing", draft), sent(draft, **wrong))
    assert answer.status_code == status
    assert len(json.loads(answer.text)["said"]) > 10
    assert not Typed.objects.exists()


def test_a_released_revision_keeps_no_typing(writer):
    released = RevisionFactory(released=True)
    assert (
        writer.post(address("keep-typing", released), sent(released, text="half")).status_code
        == 409
    )


# --- the check while typing


def test_the_check_answers_findings_by_line_and_the_sheet(writer, draft):
    ShopRulesFactory()
    text = draft.text.replace("needs: depressurised", "needs: ring greased")
    page = writer.post(
        address("check", draft), sent(draft, text=text, **{"fork-ring": "prong"})
    ).text
    line = text.split("\n").index("needs: ring greased") + 1
    assert f'data-line="{line}"' in page
    assert 'id="step-walk-ring"' in page
    assert "step-squeeze-ring" not in page
    assert "<html" not in page
    assert Revision.objects.get().text == draft.text


def test_a_text_that_is_no_text_is_told_by_the_check(writer, draft):
    assert (
        "Null characters are not allowed"
        in writer.post(address("check", draft), sent(draft, text="x\0")).text
    )


def test_the_preview_shows_a_fork_that_exists():
    read = parse(
        "---\ntitle: T\nvariants: {ring: [a, b], cup: [x, y]}\nnever: [ring = a; cup = "
        "x]\n---\n### S {#s}\n\nDo it.\n"
    )
    assert _some_fork(read, {}) == {"ring": "a", "cup": "y"}
    assert _some_fork(read, {"cup": "x"}) == {"ring": "b", "cup": "x"}
    assert _some_fork(read, {"cup": "no such"}) == {"ring": "a", "cup": "y"}


# --- pieces


def test_every_field_of_the_language_has_its_piece():
    assert {piece.label for piece in FIELDS} == KEYS


def test_every_piece_reads_as_what_it_says():
    fields = "\n".join(piece.text for piece in FIELDS if piece.label not in ("after", "only if"))
    blocks = "\n\n".join(piece.text for piece in PIECES if piece.name not in ("phase", "step"))
    read = parse(
        f"---\ntitle: T\n---\n## P\n\n### S {{#s}}\n{fields}\n\n{blocks}\n\n{PIECES[1].text}\n"
    )
    assert read.faults == ()
    assert [caution.word for caution in read.steps[0].cautions] == [
        "danger",
        "warning",
        "caution",
        "notice",
    ]
    assert all(
        caution.hazard and caution.harm and caution.avoid for caution in read.steps[0].cautions
    )
    assert [step.id for step in read.steps] == ["s", "new-step"]


# --- a clash


@pytest.fixture
def clash(client, draft, senior, second):
    """Wim saves, then Sol, who had opened the text before, sends hers."""
    client.force_login(second)
    client.post(
        address("edit", draft),
        sent(draft, text=draft.text.replace("What this is for.", "For the mechanic."), save="yes"),
    )
    client.force_login(senior)
    mine = draft.text.replace("Squeeze the ring.", "Squeeze the ring gently.")
    return client.post(address("edit", draft), sent(draft, text=mine, save="yes"))


def hidden(page):
    form = page.context["form"]
    return {
        name: form[name].value() for name in ("text", "reason", "asks", "seen", "desk", "opened")
    }


def test_a_clash_shows_three_texts_and_who_changed_which_line(clash):
    page = clash.context["page"]
    kinds = {block.kind: block for block in page.blocks}
    (theirs,), (opened,) = kinds["theirs"].theirs, kinds["theirs"].opened
    assert (
        theirs.text == opened.text.replace("What this is for.", "For the mechanic.") != opened.text
    )
    assert [row.text for row in kinds["mine"].mine] == ["Squeeze the ring gently."]
    assert all(row.is_changed for row in kinds["mine"].mine)
    assert not any(row.is_changed for row in kinds["mine"].theirs)
    assert page.has_opened
    assert "For the mechanic." in clash.text
    assert "Wim Writer saved this draft" in clash.text


def test_of_many_same_lines_only_those_next_to_a_change_are_shown(clash, draft):
    page = clash.context["page"]
    left_out = sum(int(block.left_out) for block in page.blocks if block.left_out)
    shown = [row for block in page.blocks for row in block.mine]
    assert left_out + len(shown) == len(hidden(clash)["text"].split("\n"))
    assert left_out > 0
    assert all(
        block.mine or block.theirs or block.opened for block in page.blocks if not block.left_out
    )
    assert [int(row.number) for row in shown] == sorted(int(row.number) for row in shown)
    lines = hidden(clash)["text"].split("\n")
    assert all(lines[int(row.number) - 1] == row.text for row in shown)


def test_going_on_with_mine_keeps_theirs_in_view_and_saves_after(clash, client, draft):
    page = client.post(address("edit", draft), hidden(clash) | {"beside": "yes"})
    assert "For the mechanic." in page.text
    assert page.context["form"]["text"].value().count("gently") == 1
    again = client.post(address("edit", draft), hidden(page) | {"check": "yes"})
    assert "For the mechanic." in again.text
    client.post(address("edit", draft), hidden(page) | {"save": "yes"})
    assert "gently" in Revision.objects.get().text


def test_taking_theirs_keeps_mine_aside(clash, client, draft):
    page = client.post(address("edit", draft), hidden(clash) | {"take": "yes"}, follow=True)
    assert "For the mechanic." in page.context["form"]["text"].value()
    assert "gently" in Typed.objects.get().text
    assert "Squeeze the ring gently." in page.text


def test_saving_mine_over_theirs_keeps_theirs_for_its_author(clash, client, draft, second):
    client.post(address("edit", draft), hidden(clash) | {"over": "yes"})
    kept = Revision.objects.get()
    assert "gently" in kept.text
    assert "For the mechanic." not in kept.text
    theirs = Typed.objects.get(person=second)
    assert "For the mechanic." in theirs.text
    client.force_login(second)
    assert "For the mechanic." in client.get(address("edit", draft)).text


def test_a_third_save_in_between_clashes_again(clash, client, draft, second):
    now = hidden(clash)
    client.force_login(second)
    client.post(address("edit", draft), sent(draft, text="Third.", seen=now["seen"], save="yes"))
    from tests.training.factories import UserFactory

    client.force_login(UserFactory(login="ann", name="Ann", trade="senior"))
    page = client.post(address("edit", draft), now | {"over": "yes"})
    assert page.context["page"].theirs == "Third."
    assert Revision.objects.get().text == "Third."


def test_a_clash_from_a_text_that_is_not_known_any_more_shows_two(writer, draft):
    page = writer.post(
        address("edit", draft),
        sent(draft, text="Mine.", seen="2020-01-01T00:00:00+00:00", save="yes"),
    )
    assert not page.context["page"].has_opened
    assert "Mine." in page.text


def test_each_saved_text_stays_known(writer, draft):
    writer.post(address("edit", draft), sent(draft, text="Second.", save="yes"))
    assert EarlierText.objects.get().text == draft.text


# --- an old text


def test_an_old_text_becomes_a_draft(writer, senior):
    old = "Wash the fork\n\n1. Rinse it.\n\nWARNING: Soap is slippery.\n\n2. Dry it.\n"
    look = writer.post(reverse("procedures:old-text"), {"text": old, "look": "yes"})
    assert "line 5" in look.text
    assert not WriteUp.objects.exists()
    writer.post(reverse("procedures:old-text"), {"text": old, "start": "yes"})
    draft = Revision.objects.get()
    assert (draft.writeup.name, draft.author) == ("wash-the-fork", senior)
    assert [step.title for step in parse(draft.text).steps] == ["Rinse it", "Dry it"]


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("old.txt", b"Wash\n\n1. Rinse it.\n", ""),
        ("old.txt", b"Wash\n\n1. Rinse it at 20 \xb0C.\n", ""),
        ("old.txt", b"\xff\xfe1", "not plain text"),
        ("old.txt", b"a\0b", "not plain text"),
        ("old.md", b"x" * 20_000_001, "larger than 20 MB"),
        ("old.md", b"x" * 100_001, "longer than 100000 characters"),
    ],
)
def test_a_file_is_read_or_the_reason_is_told(writer, name, content, said):
    from django.core.files.uploadedfile import SimpleUploadedFile

    page = writer.post(
        reverse("procedures:old-text"), {"file": SimpleUploadedFile(name, content), "start": "yes"}
    )
    assert said in page.text if said else Revision.objects.get().text
    assert Revision.objects.exists() == (not said)


def test_no_text_and_a_taken_name_are_told(writer):
    assert "There is no text" in writer.post(reverse("procedures:old-text"), {"start": "yes"}).text
    RevisionFactory(writeup__name="wash")
    page = writer.post(
        reverse("procedures:old-text"), {"text": "Wash\n\n1. Rinse.\n", "start": "yes"}
    ).text
    assert "already exists" in page
    assert "1. Rinse." in page


# --- letters that nobody sees ("Trojan Source", N. Boucher, R. Anderson, 2021)

TROJAN, PLAIN = "The seal is \u202enot\u202c seated.\u200b", "The seal is not seated."


def test_a_text_and_its_reason_are_saved_and_kept_without_letters_that_nobody_sees(writer, draft):
    typed = sent(draft, text=f"{draft.text}\n{TROJAN}\n", reason=TROJAN)
    assert writer.post(address("keep-typing", draft), typed).status_code == 200
    assert (Typed.objects.get().text, Typed.objects.get().reason) == (
        f"{draft.text}\n{PLAIN}\n",
        PLAIN,
    )
    assert writer.post(address("edit", draft), typed).status_code == 302
    draft.refresh_from_db()
    assert (draft.text, draft.reason) == (f"{draft.text.partition(PLAIN)[0]}{PLAIN}\n", PLAIN)


def test_a_title_with_a_letter_that_nobody_sees_is_told(writer):
    page = writer.post(
        reverse("procedures:new"), {"title": "Lower\u200bleg service", "name": "lower-leg"}
    )
    assert "an invisible letter" in page.text
    assert not WriteUp.objects.filter(name="lower-leg").exists()
