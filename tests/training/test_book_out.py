"""Can somebody outside check the record book, and does a checkpoint kept elsewhere find a book that
was rewritten?
"""

import io
import json
import stat
import subprocess
import sys
import tracemalloc
from dataclasses import asdict
from datetime import timedelta

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from django.core.management import CommandError, call_command
from django.db import connection

from procedures.records.sealing import put_on, take_off
from tests.architecture.documents import example
from tests.put_in import put_in
from tests.training.shop import NOW, TODAY, lifted, make_ready, ready_shop, stood_down
from training import models as rows
from training.exchange.backups.book_lines import book_lines
from training.records.book import checkpoint
from training.records.book.canonical import write_canonical
from training.records.book.chain import START, link
from training.records.keeping import faults, head, record_all

STRANGER = example("training/records/book/README.md", "python")
# RFC 8032, section 7.1, TEST 1: the secret key and its public key.
RFC_8032_SECRET = bytes.fromhex("9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60")
RFC_8032_PUBLIC = "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a"


@pytest.fixture
def filled(db, clock, settings, tmp_path):
    """A shop with a few dozen entries, in a home of its own."""
    settings.HOME = tmp_path / "home"
    settings.HOME.mkdir()
    return put_in(ready_shop)


def run(*args):
    """As whoever changed the book leaves it: with the triggers on again."""
    put_on(connection)
    out, err = io.StringIO(), io.StringIO()
    try:
        call_command("book", *map(str, args), stdout=out, stderr=err)
    except CommandError as error:
        return out.getvalue(), err.getvalue() + str(error)
    return out.getvalue(), err.getvalue()


@pytest.fixture
def ask_a_stranger(tmp_path):
    """The program printed for strangers, run on its own in an interpreter that knows nothing of
    this site.
    """
    program = tmp_path / "verify.py"
    program.write_text(STRANGER, encoding="utf-8")

    def ask(*files):
        command = [sys.executable, "-I", str(program), *map(str, files)]
        return subprocess.run(
            command, capture_output=True, text=True, timeout=60, check=True
        ).stdout.strip()

    return ask


def rechained(entries, start=1, previous=START):
    """The same entries with digests made anew: what somebody does who knows how the book is
    written.
    """
    for entry in entries:
        made = link(
            number=start,
            kind=entry.kind,
            row=entry.row,
            written_at=entry.written_at,
            body=json.loads(entry.body),
            previous=previous,
        )
        yield rows.BookEntry(**asdict(made))
        start, previous = start + 1, made.digest


def rewrite(change):
    """The whole book written anew after a change to its list of entries, head and all."""
    take_off(connection)
    entries = list(rows.BookEntry.objects.order_by("number"))
    change(entries)
    made = list(rechained(entries))
    rows.BookEntry.objects.all().delete()
    rows.BookEntry.objects.bulk_create(made)
    rows.BookHead.objects.update(number=made[-1].number, digest=made[-1].digest)


def edit(entries):
    entries[4].body = json.dumps(
        {**json.loads(entries[4].body), "recorded_at": "2020-01-01T00:00:00.000000Z"}
    )


def drop(entries):
    del entries[4]


def insert(entries):
    entries.insert(4, entries[3])


def swap(entries):
    entries[4], entries[5] = entries[5], entries[4]


def cut(entries):
    del entries[-2:]


REWRITINGS = (edit, drop, insert, swap, cut)


# ---- the export


def test_a_stranger_finds_an_export_whole(filled, tmp_path, ask_a_stranger):
    run("--export", tmp_path / "book.jsonl")
    number, digest = head()
    assert ask_a_stranger(tmp_path / "book.jsonl") == f"Whole: {number} entries, head {digest}."


def test_a_stranger_reads_any_script(filled, tmp_path, ask_a_stranger):
    """RFC 8785 sorts by UTF-16 code units, in which U+1F600 comes before U+FB33; Python sorts by
    code point.
    """
    job = rows.Job.objects.get()
    job.pk, job.variant, job.note = (
        None,
        {"\ufb33": "x", "\U0001f600": '\u2028\x7f\\"\x01'},
        "Zoë \u20ac",
    )
    job.save()
    record_all("job", [job])
    run("--export", tmp_path / "book.jsonl")
    assert ask_a_stranger(tmp_path / "book.jsonl").startswith("Whole: ")


@pytest.mark.parametrize(
    ("tamper", "told"),
    [
        (
            lambda lines: lines.__setitem__(5, lines[5].replace("2026", "2025", 1)),
            "Entry 5 was changed",
        ),
        (lambda lines: lines.__delitem__(5), "Entry 5 is missing."),
        (lambda lines: lines.insert(5, lines[4]), "Entry 5 is missing."),
        (lambda lines: lines.__delitem__(-1), "The export ends at entry"),
        (lambda lines: lines.__setitem__(slice(5, 7), [lines[6], lines[5]]), "Entry 5 is missing."),
    ],
    ids=["edited", "dropped", "doubled", "cut", "swapped"],
)
def test_a_stranger_names_the_first_bad_entry(filled, tmp_path, ask_a_stranger, tamper, told):
    lines = list(book_lines())
    tamper(lines)
    (tmp_path / "book.jsonl").write_text("".join(lines), encoding="utf-8")
    assert ask_a_stranger(tmp_path / "book.jsonl").startswith(told)


@pytest.mark.parametrize("change", REWRITINGS)
def test_a_stranger_with_a_checkpoint_finds_a_book_written_anew(
    filled, unsealed, tmp_path, ask_a_stranger, change
):
    run("--checkpoint", tmp_path / "kept.json")
    rewrite(change)
    run("--export", tmp_path / "book.jsonl")
    assert ask_a_stranger(tmp_path / "book.jsonl").startswith("Whole: ")
    assert "checkpoint" in ask_a_stranger(tmp_path / "book.jsonl", tmp_path / "kept.json")


def test_the_export_is_the_same_on_the_terminal_as_in_the_file_and_begins_with_the_head(
    filled, tmp_path
):
    run("--export", tmp_path / "book.jsonl")
    out, _ = run("--export", "-")
    assert out == (tmp_path / "book.jsonl").read_text(encoding="utf-8")
    number, digest = head()
    assert json.loads(out.splitlines()[0]) == {
        "book": "record book",
        "number": number,
        "head": digest,
    }
    assert len(out.splitlines()) == number + 1


@pytest.mark.parametrize("change", [{"note": "Signed."}, {"digest": None}])
def test_a_stranger_refuses_a_line_with_other_keys_than_an_entry_has(
    filled, tmp_path, ask_a_stranger, change
):
    lines = list(book_lines())
    entry = {**json.loads(lines[4]), **change}
    if entry["digest"] is None:
        del entry["digest"]
    lines[4] = json.dumps(entry) + "\n"
    (tmp_path / "book.jsonl").write_text("".join(lines), encoding="utf-8")
    assert (
        ask_a_stranger(tmp_path / "book.jsonl")
        == "The line after entry 3 is no entry: it has other keys."
    )


def test_a_broken_body_comes_out_as_a_text_that_does_not_verify(
    filled, unsealed, tmp_path, ask_a_stranger
):
    rows.BookEntry.objects.filter(number=3).update(body="{broken")
    run("--export", tmp_path / "book.jsonl")
    assert ask_a_stranger(tmp_path / "book.jsonl").startswith("Entry 3 was changed")


def test_the_owner_takes_the_book_from_its_page(filled, as_):
    page = as_(filled.owner).get("/book/")
    assert 'href="/book/export/"' in page.text
    answer = as_(filled.owner).get("/book/export/")
    assert b"".join(answer.streaming_content).decode() == "".join(book_lines())
    assert "attachment" in answer["Content-Disposition"]
    assert 'href="/book/export/"' not in as_(filled.senior).get("/book/").text


def test_the_page_says_days_and_whom_a_lift_is_about(filled, as_):
    down = stood_down(
        person=filled.mechanic,
        level=filled.level,
        first=TODAY,
        by=filled.owner,
        reason="A ring came out.",
    )
    lifted(standdown=down, on=TODAY, by=filled.senior, reason="Settled.")
    page = as_(filled.owner).get("/book/?kind=lift").text
    assert "Mika Mechanic, Air-spring service, 25 Nov 2026" in page
    assert "2026-11-25" not in page


def test_the_page_shows_the_entries_of_one_person_and_kind(filled, as_):
    page = as_(filled.owner).get("/book/", {"person": "tilda", "kind": "job"})
    assert [
        (entry.kind, "Tilda Trainee" in entry.about) for entry in page.context["book"].entries
    ] == [("job", True)]
    everything = as_(filled.owner).get("/book/", {"person": "tilda"}).context["book"].entries
    said = rows.BookEntry.objects.exclude(kind="lift").values_list("number", "body")
    assert {entry.number for entry in everything} == {
        str(number)
        for number, body in said
        if "tilda" in {json.loads(body).get("person"), json.loads(body).get("login")}
    }
    assert "No entries found." in as_(filled.owner).get("/book/", {"person": "nobody"}).text


def test_a_long_book_is_checked_in_portions(filled, unsealed, as_, monkeypatch):
    monkeypatch.setattr("training.reports.book.PORTION", 5)
    put_on(connection)
    total, first, steps = head()[0], 1, 0
    while first:
        check = (
            as_(filled.owner).get("/book/", {"check": "yes", "from": first}).context["book"].check
        )
        assert check.fault is None
        first, steps = int(check.next or 0), steps + 1
    assert steps == -(-total // 5)
    take_off(connection)
    rows.BookEntry.objects.filter(number=7).update(body="{}")
    assert (
        as_(filled.owner).get("/book/", {"check": "yes", "from": 1}).context["book"].check.next
        == "6"
    )
    assert (
        as_(filled.owner)
        .get("/book/", {"check": "yes", "from": 6})
        .context["book"]
        .check.fault.number
        == 7
    )


@pytest.mark.parametrize("first", ["", "0", "-1", "x", "999999999", "9" * 300])
def test_odd_numbers_to_check_from_are_no_failure(filled, as_, first):
    assert as_(filled.owner).get("/book/", {"check": "yes", "from": first}).status_code == 200


# ---- checkpoints


def test_a_checkpoint_names_the_public_key_of_rfc_8032():
    made = json.loads(
        checkpoint.sign_checkpoint(number=3, head="f" * 64, written_at=NOW, secret=RFC_8032_SECRET)
    )
    assert made["public_key"] == RFC_8032_PUBLIC
    assert checkpoint.read(json.dumps(made)) == checkpoint.Checkpoint(
        3, "f" * 64, NOW, RFC_8032_PUBLIC
    )


@pytest.mark.parametrize(
    "column", ["number", "head", "written_at", "key_id", "public_key", "signature", "what"]
)
def test_a_checkpoint_that_was_changed_is_refused(column):
    made = json.loads(
        checkpoint.sign_checkpoint(number=3, head="f" * 64, written_at=NOW, secret=RFC_8032_SECRET)
    )
    other = json.loads(
        checkpoint.sign_checkpoint(
            number=4, head="e" * 64, written_at=NOW + timedelta(1), secret=bytes(32)
        )
    )
    made[column] = "card" if column == "what" else other[column]
    with pytest.raises(checkpoint.BadCheckpoint):
        checkpoint.read(json.dumps(made))


@pytest.mark.parametrize(
    "change",
    [
        {"key_id": "0" * 16},
        {"what": "card"},
        {"number": 0},
        {"number": True},
        {"number": "3"},
        {"more": 1},
        {"head": None},
        {"written_at": None},
    ],
)
def test_a_text_that_is_signed_but_says_something_else_is_no_checkpoint(change):
    """The holder of a key can sign anything; only a checkpoint is read as one."""
    says = json.loads(
        checkpoint.sign_checkpoint(number=3, head="f" * 64, written_at=NOW, secret=RFC_8032_SECRET)
    )
    del says["signature"]
    says = {key: value for key, value in (says | change).items() if value is not None}
    key = Ed25519PrivateKey.from_private_bytes(RFC_8032_SECRET)
    with pytest.raises(checkpoint.BadCheckpoint):
        checkpoint.read(json.dumps(says | {"signature": key.sign(write_canonical(says)).hex()}))


@pytest.mark.parametrize("text", ["", "{}", "[]", "null", '{"signature": "00"}', "[" * 100_000])
def test_what_is_no_checkpoint_is_refused(text):
    with pytest.raises(checkpoint.BadCheckpoint):
        checkpoint.read(text)


def test_the_key_is_made_once_and_for_nobody_elses_eyes(filled, tmp_path, settings):
    made = [json.loads(run("--checkpoint")[0]) for _ in range(2)]
    assert made[0]["public_key"] == made[1]["public_key"]
    assert stat.S_IMODE((settings.HOME / "book.key").stat().st_mode) == 0o600
    (settings.HOME / "book.key").write_text("nonsense")
    assert "is not a key" in run("--checkpoint")[1]


def test_a_book_that_has_grown_since_passes_through_its_checkpoint(filled, tmp_path):
    number, _ = head()
    run("--checkpoint", tmp_path / "kept.json")
    make_ready(filled, filled.mechanic)
    out, err = run("--against", tmp_path / "kept.json")
    assert err == ""
    assert f"It passes through the checkpoint of 25 Nov 2026, entry {number}." in out


@pytest.mark.parametrize("change", REWRITINGS)
def test_a_book_written_anew_does_not_pass_through_its_checkpoint(
    filled, unsealed, tmp_path, change
):
    number, _ = head()
    run("--checkpoint", tmp_path / "kept.json")
    rewrite(change)
    assert f"Entry {number} (checkpoint): " in run("--against", tmp_path / "kept.json", "--all")[1]


def test_two_checkpoints_say_between_which_entries_the_book_was_rewritten(
    filled, unsealed, tmp_path
):
    first, _ = head()
    run("--checkpoint", tmp_path / "first.json")
    make_ready(filled, filled.mechanic)
    second, _ = head()
    run("--checkpoint", tmp_path / "second.json")
    rewrite(lambda entries: entries.__delitem__(first + 1))
    told = run("--against", tmp_path / "second.json", tmp_path / "first.json", "--all")[1]
    assert (
        f"Entry {second} (checkpoint): it stood there on 25 Nov 2026 and is gone: the book "
        f"ends at entry {second - 1}" in told
    )
    assert f"Entry {first} (checkpoint)" not in told


def test_a_checkpoint_of_another_key_is_refused_unless_it_is_named(filled, tmp_path):
    number, digest = head()
    text = checkpoint.sign_checkpoint(
        number=number, head=digest, written_at=NOW, secret=RFC_8032_SECRET
    )
    (tmp_path / "kept.json").write_text(text)
    assert "is signed by another key" in run("--against", tmp_path / "kept.json")[1]
    assert run("--against", tmp_path / "kept.json", "--key", RFC_8032_PUBLIC.upper())[1] == ""


def test_no_checkpoint_is_made_of_a_book_that_does_not_hold(filled, unsealed, tmp_path):
    rows.Observation.objects.update(note="changed")
    assert "failed its check" in run("--checkpoint", tmp_path / "kept.json")[1]
    assert not (tmp_path / "kept.json").exists()


# ---- from a number or a day on


def test_since_says_what_it_took_for_granted(filled):
    digest = rows.BookEntry.objects.get(number=4).digest
    out, _ = run("--since", 5)
    assert f"Not checked: entries 1 to 4, up to the check code {digest}." in out


def test_since_a_day_begins_with_its_first_entry_in_the_time_of_the_workshop(filled, clock):
    first = head()[0] + 1
    clock.move_to(NOW.replace(hour=23, minute=30))  # half past midnight of the next day in Vienna
    make_ready(filled, filled.mechanic)
    assert f"whole from entry {first} on" in run("--since", TODAY + timedelta(1))[0]


@pytest.mark.parametrize("since", ["0", "999", "soon", "2026-W48-3", "2027-01-01", "9" * 400])
def test_since_nothing_is_told(filled, since):
    assert run("--since", since)[1] != ""


def test_since_leaves_out_what_lies_before_and_finds_what_comes_after(filled, unsealed):
    early, late = (
        rows.BookEntry.objects.filter(kind=kind).first().number
        for kind in ("reading", "observation")
    )
    rows.Reading.objects.update(happened_on=TODAY - timedelta(1))
    assert run("--since", early + 1)[1] == ""
    take_off(connection)
    rows.Observation.objects.update(note="changed")
    assert f"Entry {late} (observation)" in run("--since", early + 1)[1]
    assert f"Entry {early} (reading)" in run()[1]


# ---- as a stream


def test_checking_takes_no_more_memory_for_a_longer_book(filled, monkeypatch):
    monkeypatch.setattr("training.records.keeping.BATCH", 50)  # many portions in a short book

    def peak(more):
        made = rows.Reading.objects.bulk_create(
            rows.Reading(
                person=filled.mechanic, revision=filled.revision, happened_on=TODAY, recorded_at=NOW
            )
            for _ in range(more)
        )
        record_all("reading", made)
        tracemalloc.start()
        try:
            assert list(faults()) == []
            return tracemalloc.get_traced_memory()[1]
        finally:
            tracemalloc.stop()

    peak(100)  # what is loaded once
    # What another thread of the process takes meanwhile only adds to one of several rounds; what a
    # longer book takes, to each.
    few, many = min(peak(100), peak(0)), min(peak(800), peak(0), peak(0))
    assert many < 1.5 * few
