"""What must hold of standings in every shop, whatever is on record?

The expectations are promises of the shop's own rules, held against shops made at random; nothing
here is a fact of the trade.
"""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from tests.training import standing_shop as made
from training.standing import evidence as ev
from training.standing.answer import (
    answer,
    answers,
    hindrances_of_signer,
    reasons_against_signing,
    standings,
)
from training.standing.dependants import entries_falling_with
from training.standing.entitlement import Asked, Asking
from training.standing.signing import find_least_missing

PEOPLE = ("ana", "sol", "tom", "kim")
LEVELS = ("lower", "air", "damper")
FIRST = date(2024, 1, 20)
LAST = FIRST + timedelta(days=60)
RANK = {"no": 0, "watched": 1, "alone": 2}
LATE = datetime(2024, 12, 31, tzinfo=UTC)

modest = settings(max_examples=30, deadline=None, suppress_health_check=list(HealthCheck))

DAYS = st.integers(0, 60).map(lambda number: FIRST + timedelta(days=number))
WHO, LVL = st.sampled_from(PEOPLE), st.sampled_from(LEVELS)
DELAY = st.sampled_from([0, 0, 0, 3, 20])
VARIANT = st.sampled_from([{}, {"ring": "prong"}, {"ring": "coil"}])
LIMITS = st.sampled_from([{}, {}, {}, {"ring": "prong"}, {"ring": ("prong", "coil")}])


def _recorded(on, delay):
    return datetime.combine(on, time(12), UTC) + timedelta(days=delay)


@st.composite
def jobs(draw):
    on, watcher = draw(DAYS), draw(st.sampled_from([None, *PEOPLE]))
    return made.job(draw(WHO), on, draw(LVL), watcher, _recorded(on, draw(DELAY)))


@st.composite
def sittings(draw):
    on = draw(DAYS)
    percent = draw(st.sampled_from([70, 80, 100, 100]))
    critical_right = draw(st.sampled_from([True, True, False]))
    return made.sat(draw(WHO), on, percent, critical_right, draw(LVL), _recorded(on, draw(DELAY)))


@st.composite
def readings(draw):
    """Nobody reads a revision before its release: revision n comes out 15 (n - 1) days after the
    first day.
    """
    number, lvl = draw(st.integers(1, 3)), draw(LVL)
    on = FIRST + timedelta(days=draw(st.integers(15 * (number - 1), 60)))
    return made.read(draw(WHO), number, on, lvl, _recorded(on, draw(DELAY)))


@st.composite
def observations(draw):
    on = draw(DAYS)
    return made.seen(
        draw(WHO), on, draw(WHO), draw(st.booleans()), draw(LVL), _recorded(on, draw(DELAY))
    )


@st.composite
def signoffs(draw):
    on = draw(DAYS)
    signer = draw(st.sampled_from([None, *PEOPLE]))
    return made.sign(draw(WHO), on, signer, draw(LVL), _recorded(on, draw(DELAY)), **draw(LIMITS))


@st.composite
def standdowns(draw):
    first, lasting = draw(DAYS), draw(st.sampled_from([None, 0, 5, 20]))
    lifted = None if lasting is None else first + timedelta(days=lasting)
    recorded = _recorded(first, draw(DELAY))
    lift_recorded = lifted and max(recorded, _recorded(lifted, draw(DELAY)))
    return made.stand_down(
        draw(WHO), first, lifted, draw(st.sampled_from([None, *LEVELS])), recorded, lift_recorded
    )


@st.composite
def voids(draw, of):
    kind = draw(st.sampled_from(["signoff", "job", "reading", "pass", "observation"]))
    of_kind = {"signoff": of.signoffs, "job": of.jobs, "reading": of.readings, "pass": of.passings}
    rows = of_kind.get(kind, of.observations)
    assume(rows)
    row = draw(st.sampled_from(rows))
    about = row.writeup if kind == "reading" else row.level
    return made.void(
        kind, row.person, about, row.on, row.recorded_at + timedelta(days=draw(st.integers(0, 20)))
    )


@st.composite
def rule_versions(draw):
    number = draw(st.sampled_from([0, 0, 1, 2]))
    return [
        made.level(
            name,
            earlier=LEVELS[place - 1 : place] if place and draw(st.booleans()) else (),
            writeups=(name,) if draw(st.booleans()) else (),
            valid_months=draw(st.integers(1, 3)),
            practice_jobs=number,
            practice_months=1,
            pass_percent=draw(st.sampled_from([0, 80])),
            grace_days=draw(st.sampled_from([0, 7])),
        )
        for place, name in enumerate(LEVELS)
    ]


@st.composite
def shops(draw):
    asks = st.sampled_from(["nothing", "read again", "answer again", "show again"])
    people = [
        made.person(
            name,
            FIRST + timedelta(days=draw(st.sampled_from([-9, 5, 70]))) if name == "kim" else FIRST,
            draw(
                st.sampled_from([None, None, LAST - timedelta(days=20), LAST + timedelta(days=20)])
            ),
        )
        for name in PEOPLE
    ]
    released = [FIRST + timedelta(days=15 * number) for number in range(3)]
    of = made.shop(
        people,
        draw(rule_versions()),
        [
            made.revision(n + 1, on, draw(asks), name)
            for name in LEVELS
            for n, on in enumerate(released)
        ],
        [made.appoint(who, lvl, FIRST) for who in ("ana", "sol", "tom") for lvl in LEVELS],
        [made.sign("sol", FIRST, None, lvl) for lvl in LEVELS],
        draw(st.lists(signoffs(), max_size=9)),
        draw(st.lists(jobs(), max_size=9)),
        draw(st.lists(sittings(), max_size=7)),
        draw(st.lists(readings(), max_size=9)),
        draw(st.lists(observations(), max_size=5)),
        draw(st.lists(standdowns(), max_size=2)),
    )
    return made.with_rows(of, *draw(st.lists(voids(of), max_size=2)))


def ranks(of, on, known_at=LATE, variant=None):
    return {
        key: RANK[word] for key, word in standings(of, LEVELS, on, known_at, variant or {}).items()
    }


def lowered(before, after):
    return [key for key in before if after[key] < before[key]]


@modest
@given(st.data(), shops(), DAYS, VARIANT)
def test_a_stand_down_or_a_void_never_raises_an_answer(data, of, on, variant):
    before = ranks(of, on, variant=variant)
    for further in (standdowns(), voids(of)):
        after = ranks(made.with_rows(of, data.draw(further)), on, variant=variant)
        assert lowered(after, before) == []


@modest
@given(shops(), VARIANT)
def test_the_passing_of_a_day_never_raises_one_but_for_a_first_day_and_a_day_of_lifting(
    of, variant
):
    on, before = LAST, ranks(of, LAST, variant=variant)
    for _ in range(60):
        on += timedelta(days=1)
        after = ranks(of, on, variant=variant)
        rising = {person.login for person in of.people if person.started == on}
        rising |= {row.person for row in of.standdowns if row.lifted_on == on}
        assert [key for key in lowered(after, before) if key[0] not in rising] == []
        before = after


@modest
@given(st.data(), shops(), DAYS, VARIANT)
def test_a_further_job_reading_or_passed_sitting_never_lowers_one(data, of, on, variant):
    before = ranks(of, on, variant=variant)
    for further in (jobs(), readings(), sittings()):
        row = data.draw(further)
        if isinstance(row, ev.Passing):
            row = made.sat(row.person, row.on, 100, True, row.level)
        assert lowered(before, ranks(made.with_rows(of, row), on, variant=variant)) == []


@modest
@given(shops(), DAYS, VARIANT)
def test_one_is_alone_until_the_day_before_the_lapse_and_not_on_it(of, on, variant):
    for told in (each for lvl in LEVELS for each in answers(of, lvl, on, LATE, variant)):
        # every level here is valid for months only
        assert (told.standing == "alone") == (told.lapses_on is not None)
        if told.standing != "alone":
            continue
        step = on
        while step < told.lapses_on:
            assert answer(of, told.person, told.level, step, LATE, variant).standing == "alone"
            step += timedelta(days=1 if (told.lapses_on - step).days < 4 else 3)
        fallen = answer(of, told.person, told.level, told.lapses_on, LATE, variant)
        assert fallen.standing != "alone"
        assert fallen.reasons[0].code == told.lapses_because


ENTRIES = ("appointments", "readings", "passings", "jobs", "observations", "signoffs", "voids")


def rows_of(of):
    return [row for name in ENTRIES for row in getattr(of, name)]


def never_made(of, gone):
    """The shop as if one sign-off had never been made."""
    rows = [row for row in rows_of(of) if row is not gone]
    return made.shop(of.people, of.levels, of.revisions, [*rows, *of.standdowns])


def as_it_was(of, known_at):
    """The shop with nothing that was recorded, or released, after a moment."""
    lifts = [
        row
        if row.lift_recorded_at is None or row.lift_recorded_at <= known_at
        else made.stand_down(row.person, row.first, None, row.level, row.recorded_at)
        for row in of.standdowns
    ]
    return made.shop(
        of.people,
        of.levels,
        [row for row in of.revisions if row.released <= known_at.date()],
        [row for row in rows_of(of) + lifts if row.recorded_at <= known_at],
    )


@modest
@given(shops(), DAYS, DAYS, VARIANT)
def test_asking_as_known_then_gives_what_was_answered_then(of, on, known_on, variant):
    known_at = datetime.combine(known_on, time(12), UTC)
    then = as_it_was(of, known_at)
    for lvl in LEVELS:
        assert answers(of, lvl, on, known_at, variant) == answers(then, lvl, on, known_at, variant)


@modest
@given(st.data(), shops())
def test_a_void_fells_just_the_sign_offs_that_were_listed_and_each_goes_back_to_it(data, of):
    row = data.draw(st.sampled_from(of.signoffs))
    twins = [s for s in of.signoffs if (s.person, s.level, s.on) == (row.person, row.level, row.on)]
    assume(len(twins) == 1)
    told = entries_falling_with(of, made.void("signoff", row.person, row.level, row.on, LATE), LATE)
    before, after = Asking(of, LATE), Asking(never_made(of, row), LATE)
    counting = [s for who in PEOPLE for lvl in LEVELS for s in after.known.signoffs(who, lvl)]
    fallen = [s for s in counting if before.entitled(s) and not after.entitled(s)]
    assert {id(s) for s in told.signoffs} == {id(s) for s in fallen}
    reached = {row.person}
    for later in sorted(of.signoffs, key=lambda s: s.on):
        if later.signer in reached and not later.founding:
            reached.add(later.person)
    assert {s.signer for s in told.signoffs} <= reached
    assert {o.observer for o in told.observations} | {j.watched_by for j in told.jobs} <= reached


@modest
@given(st.data(), shops(), DAYS, VARIANT)
def test_what_is_recorded_later_does_not_change_an_answer_as_known_before(data, of, on, variant):
    """The fourth promise by another road: entries are added whose recording is later than the
    moment asked about.
    """
    known_at = datetime.combine(LAST + timedelta(days=30), time(12), UTC)
    further = [
        data.draw(kind())._replace(
            recorded_at=known_at + timedelta(days=data.draw(st.integers(1, 40)))
        )
        for kind in (jobs, sittings, readings, observations, signoffs)
    ]
    later = made.with_rows(of, *further)
    if of.signoffs:
        row = data.draw(st.sampled_from(of.signoffs))
        voided = made.void("signoff", row.person, row.level, row.on, known_at + timedelta(days=1))
        later = made.with_rows(later, voided)
    for lvl in LEVELS:
        assert answers(later, lvl, on, known_at, variant) == answers(of, lvl, on, known_at, variant)


@modest
@given(st.integers(1, 120), st.data())
def test_voiding_any_link_of_a_chain_of_signers_lists_all_that_come_after_it(length, data):
    """The fifth promise through any number of steps: each signs for the next, and each watches the
    next one work.
    """
    names = [f"p{n}" for n in range(length + 1)]
    when = [FIRST + timedelta(days=n) for n in range(length + 1)]
    signed = [made.sign(names[0], when[0])]
    signed += [made.sign(names[n], when[n], names[n - 1]) for n in range(1, length + 1)]
    watched = [made.job(names[n], when[n], watched_by=names[n - 1]) for n in range(1, length + 1)]
    seen = [made.seen(names[n], when[n], names[n - 1]) for n in range(1, length + 1)]
    of = made.shop(
        [made.person(name) for name in names],
        made.level(),
        [made.appoint(name) for name in names],
        signed,
        watched,
        seen,
    )
    link = data.draw(st.integers(0, length))
    at = LATE + timedelta(days=length)
    told = entries_falling_with(of, made.void("signoff", names[link], "air", when[link], at), at)
    assert {row.person for row in told.signoffs} == set(names[link + 1 :])
    assert (
        {row.person for row in told.jobs}
        == {row.person for row in told.observations}
        == set(names[link + 1 :])
    )


@modest
@given(shops(), DAYS, VARIANT)
def test_one_call_for_the_shop_equals_one_call_for_each(of, on, variant):
    table = standings(of, LEVELS, on, LATE, variant)
    for lvl in LEVELS:
        each = tuple(answer(of, who, lvl, on, LATE, variant) for who in PEOPLE)
        assert answers(of, lvl, on, LATE, variant) == each
        assert [told.standing for told in each] == [table[told.person, lvl] for told in each]


@modest
@given(shops(), st.integers(0, 900), VARIANT)
def test_a_whole_table_says_what_each_person_is_told_who_is_asked_about_alone(of, later, variant):
    """A table leaves out quickly whoever has nothing on record by then; a fresh copy of the shop
    remembers nothing of it.
    """
    on = FIRST + timedelta(days=later)
    table = standings(of, LEVELS, on, LATE, variant)
    asking = Asking(made.with_rows(of), LATE)
    question = frozenset(variant.items())
    each = {key: asking.standing(Asked(*key, on, question)) for key in table}
    assert table == each


@modest
@given(shops(), DAYS, VARIANT)
def test_only_alone_has_no_reasons_and_every_other_answer_says_why_and_what_next(of, on, variant):
    for told in (each for lvl in LEVELS for each in answers(of, lvl, on, LATE, variant)):
        assert (told.standing == "alone") == (told.reasons == ())
        assert len({reason.code for reason in told.reasons}) == len(told.reasons)
        assert told.next
        assert bool(told.evidence) == (told.standing == "alone")


@modest
@given(shops(), DAYS, WHO, WHO, LVL, LIMITS)
def test_whoever_may_sign_gives_a_sign_off_that_holds(of, on, signer, who, lvl, limits):
    given_ = made.sign(who, on, signer, lvl, LATE, **limits)
    allowed = hindrances_of_signer(of, signer, who, lvl, given_.limits, on, LATE) == ()
    assert Asking(made.with_rows(of, given_), LATE).entitled(given_) == allowed


@modest
@given(shops(), DAYS, WHO, WHO, LVL)
def test_a_sign_off_is_offered_exactly_where_one_can_be_given(of, on, signer, who, lvl):
    """Tried out: without limits, and with each set of options that a sign-off can be limited to."""
    # A write-up that every version of each level has, and of which no revision is to be read.
    levels = tuple(replace(row, writeups=(*row.writeups, "ring")) for row in of.levels)
    of = replace(of, levels=levels, options={"ring": (("ring", ("prong", "coil")),)})
    every = [(), *((("ring", some),) for some in (("prong",), ("coil",), ("prong", "coil")))]
    can_be_given = any(
        hindrances_of_signer(of, signer, who, lvl, limits, on, LATE) == ()
        and reasons_against_signing(of, who, lvl, on, LATE, limits) == ()
        for limits in every
    )
    assert (find_least_missing(of, signer, who, lvl, on, LATE) == ()) == can_be_given
