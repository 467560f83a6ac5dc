"""Do tables of torques in old documents become torques of the language, and is no unit guessed?

How old papers spell units and ranges is common practice, no source.
"""

from hypothesis import given
from hypothesis import strategies as st

from procedures.records.documents.draft import draft_from_document
from procedures.records.documents.model import Document, OldPiece, Span
from procedures.records.documents.tables import split_table
from procedures.records.wording.say import say
from procedures.writeup.old_text import NOT_READ, draft_from_old
from procedures.writeup.old_torques import read_torques
from procedures.writeup.parse import parse
from procedures.writeup.proof.proofing import proof
from procedures.writeup.remarks import remark
from tests.for_each import for_each
from tests.procedures.test_old_documents import kept_letters

PLACE = remark("place-table", number=1)


def drafted(*pieces):
    title = OldPiece(PLACE, "heading", (Span("Lower-leg service"),), "1")
    return draft_from_document(Document((title, *pieces)), picture="x").guessed


def step(words, number):
    return OldPiece(PLACE, "number", (Span(words),), number)


@for_each(
    [
        ("Torque (N·m)", "7", "7 N·m"),
        ("Torque [Nm]", "5–7", "5..7 N·m"),
        ("Torque, N.m", "5 ± 0.5", "5 ± 0.5 N·m"),
        ("Torque in-lbs", "62", "62 in·lbf"),
        ("Tightening torque (ft·lb)", "5 to 7", "5..7 ft·lbf"),
        ("Torque", "5,5 Nm", "5,5 N·m"),
        ("Torque", "5 +/- 10 % Nm", "5 ± 10 % N·m"),
        ("Torque", "44-62 in·lb", "44..62 in·lbf"),
        ("Torque", "5 Nm – 7 Nm", "5..7 N·m"),
        ("Torque", "12 lbf·ft", "12 ft·lbf"),
        ("Torque", "7 N·m (62 in·lb)", "7 N·m"),
        ("Torque", "61 kgf·cm / 6 N·m", "61 kgf·cm"),
    ]
)
def test_a_torque_is_read_with_the_unit_of_its_cell_or_of_its_head(head, cell, field):
    (found,) = read_torques((("Part", head), ("Top cap", cell))).torques
    assert found.field == f"Top cap {field}"
    (read,) = parse(f"---\ntitle: T\n---\n### {found.title}\ntorque: {found.field}\n").steps
    (target,) = read.torques
    assert (target.name, target.amount.text) == ("Top cap", field)
    assert found.title == f"Torque the top cap to {field.replace('..', '–')}"


@for_each(
    [
        ("Torque", "7", "torque-without-unit"),
        ("Torque (Nm / in-lb)", "7 / 62", "torque-without-unit"),
        ("Torque (Nm)", "7 in-lb", "torque-two-units"),
        ("Torque (Nm)", "hand tight", "torque-no-number"),
        ("Torque (Nm)", "max. 7", "torque-no-number"),
        ("Torque (Nm)", "7*", "torque-no-number"),
        ("Torque", "7 kg·cm", "torque-no-number"),
        ("Torque", "7 nm", "torque-no-number"),
        ("Torque", "1,200 Nm", "torque-no-number"),
        ("Torque", "5 Nm ± 0.5", "torque-no-number"),
        ("Torque", "7–5 Nm", "range-backwards"),
        ("Torque", "7 N·m (82 in·lb)", "torques-differ"),
    ]
)
def test_what_is_not_sure_stays_a_row_of_the_table_and_says_why(head, cell, why):
    rows = (("Part", head), ("Foot bolt", "6 N·m"), ("Top cap", cell))
    if "(Nm)" in head:
        rows = (rows[0], ("Foot bolt", "6"), rows[2])
    if "/" in head:
        assert read_torques(rows[:1] + rows[2:]) is None
        return
    (other,) = read_torques(rows).others
    assert (other.row, other.why.code) == (("Top cap", cell), why)
    assert say(other.why)


def test_each_torque_is_a_step_of_its_own_and_the_text_goes_on_with_its_step():
    rows = (
        ("Part", "Torque (in·lb)", "Thread"),
        ("Top cap", "62", "blue"),
        ("Foot bolt", "hand tight", ""),
    )
    draft = drafted(
        step("Loosen the foot bolts.", "1"),
        *split_table(PLACE, rows),
        OldPiece(PLACE, "text", (Span("Then wipe the legs."),)),
        step("Pull the legs off.", "2"),
    )
    first, cap, last = parse(draft.text).steps
    assert "| Foot bolt | hand tight |" in first.body
    assert "Then wipe the legs." in first.body
    assert [one.amount.text for one in cap.torques] == ["62 in·lbf"]
    assert NOT_READ in cap.body
    assert "| Top cap | 62 | blue |" in cap.body
    # 62 × 0.1129848 (NIST SP 811, appendix B.8: pound-force inch to newton metre) = 7.005
    assert "62 in·lbf times 0.1129848 (NIST SP 811, appendix B.8) ≈ 7.01 N·m." in cap.body
    # The mark stands against a release until somebody has read it; the rest reads well.
    findings = proof(parse(draft.text), draft.text)
    asked = [one.about for one in findings if one.step == cap.id and one.asks]
    assert asked == ["Top cap 62 in·lbf", NOT_READ]
    assert last.title == "Pull the legs off"
    told = {one.text: one.why.code for one in draft.unsure}
    assert told["Top cap | 62 | blue"] == "torque-from-table"
    assert told["Foot bolt | hand tight"] == "torque-no-number"


def test_a_heading_over_torques_is_a_phase_and_a_caution_over_them_stands_in_the_first():
    caution = OldPiece(PLACE, "caution", (Span("A torn thread lets go."),), "warning")
    draft = drafted(
        OldPiece(PLACE, "heading", (Span("Torques"),), "2"),
        *split_table(PLACE, (("Bolt", "Nm"), ("M5", "6"))),
        caution,
        *split_table(PLACE, (("Top cap", "28 Nm"), ("Foot nut", "7 Nm"))),
    )
    read = parse(draft.text)
    assert [phase.title for phase in read.phases] == ["Torques"]
    assert [(one.title, len(one.cautions)) for one in read.steps] == [
        ("Torque the M5 to 6 N·m", 0),
        ("Torque the top cap to 28 N·m", 1),
        ("Torque the foot nut to 7 N·m", 0),
    ]


def test_counted_parts_are_no_steps_and_counted_steps_no_parts():
    rows = (("1", "Top cap", "28 Nm"), ("2", "Foot nut", "7 Nm"))
    kinds = [one.kind for one in split_table(PLACE, (("No.", "Part", "Torque"), *rows))]
    assert kinds == ["torque", "torque"]
    kinds = [one.kind for one in split_table(PLACE, (("No.", "Step", "Torque"), *rows))]
    assert kinds.count("number") == 2


CELLS = st.sampled_from(
    [
        "Top cap",
        "M5 bolt; left",
        "Part",
        "Torque (Nm)",
        "7",
        "5–7 Nm",
        "62 in·lb",
        "a | b",
        "",
        "{#x}",
    ]
)


@given(st.integers(2, 4).flatmap(lambda n: st.lists(st.lists(CELLS, min_size=n, max_size=n))))
def test_no_word_of_a_table_is_lost_and_every_torque_reads(rows):
    draft = drafted(*split_table(PLACE, tuple(map(tuple, rows))))
    whole = kept_letters(draft.text)
    for row in rows:
        for cell in row:
            assert kept_letters(cell) in whole
    assert not parse(draft.text).faults
    lines = [f"| {' | '.join(row)} |" for row in rows]
    plain = draft_from_old("\n".join(["T", "", "1. One.", *lines, "2. Two."]))
    assert all(kept_letters(line) in kept_letters(plain.text) for line in lines)
    assert not [one for one in parse(plain.text).faults if one.code == "bad-amount"]
