"""Are the demo shop's write-ups written by the published rules for safety messages?

The rules (signal words, their order, the three parts of a message, its place) are those of ANSI
Z535.4 4.14 and Z535.6, ISO 3864-2 and IEC/IEEE 82079-1, as the trade's writing rules retell them
(SW-01, SM-01, PL-01, PL-02).
"""

from itertools import pairwise
from pathlib import Path

import pytest

from procedures.records.study import SIGNAL_WORDS, study_for
from procedures.rehearsal.variants import combinations, steps_for
from procedures.rehearsal.walk import rehearse
from procedures.writeup.parse import parse
from procedures.writeup.proof.proofing import proof
from procedures.writeup.rules import read_rules

FIXTURES = Path(__file__).parents[2] / "fixtures"
FILES = sorted((FIXTURES / "writeups").glob("*.md"))
# the gravest first, by their definitions in Z535.4 4.14.1-4.14.4
ONLY_WORDS = ["danger", "warning", "caution", "notice"]


def read(path):
    return parse(path.read_text(encoding="utf-8"))


@pytest.fixture(params=FILES, ids=lambda path: path.name)
def writeup(request):
    return read(request.param)


def test_the_demo_write_ups_rehearse_clean():
    rules = read_rules((FIXTURES / "rules.yaml").read_text(encoding="utf-8"))
    newest = {path.name.partition(".")[0]: read(path) for path in FILES}
    for path in FILES:
        assert rehearse(read(path), rules, others=newest) == (), path.name


def test_a_message_has_hazard_harm_and_avoidance_and_one_of_the_four_words(writeup):
    cautions = [caution for step in writeup.steps for caution in step.cautions]
    assert cautions
    for caution in cautions:
        assert caution.word in ONLY_WORDS
        assert caution.hazard
        assert caution.harm
        assert caution.avoid


def test_the_gravest_message_of_a_step_comes_first(writeup):
    for step in writeup.steps:
        ranks = [ONLY_WORDS.index(caution.word) for caution in step.cautions]
        assert all(one <= other for one, other in pairwise(ranks)), step.id


def test_a_page_shows_the_gravest_first_whatever_the_order_of_writing():
    assert list(SIGNAL_WORDS) == ONLY_WORDS
    text = "---\ntitle: T\n---\n## P\n\n### S\n\n" + "\n\n".join(
        f'!!! {word} "{word}"\n    hazard: h\n    harm: h\n    avoid: a'
        for word in reversed(ONLY_WORDS)
    )
    page = study_for(parse(text), {}, show_all=False, title="T", number=1, released_on=None)
    assert [caution.word for caution in page.phases[0].steps[0].cautions] == ONLY_WORDS


def test_pressure_rings_and_seals_are_critical_for_every_fork():
    air_spring = read(FIXTURES / "writeups" / "air-spring-service.r2.md")
    assert len(combinations(air_spring)) == 4
    for fork in combinations(air_spring):
        critical = " ".join(
            step.title.lower() for step in steps_for(air_spring, fork) if step.critical
        )
        for word in ("air", "ring", "seal"):
            assert word in critical, fork


def test_every_write_up_says_what_its_values_are(writeup):
    assert "Demo values. Do not use on a real fork or shock." in writeup.intro
    assert "manual" in writeup.intro


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_the_proofing_leaves_nothing_to_answer(path):
    text = path.read_text(encoding="utf-8")
    assert [
        (found.rule, found.line, found.about) for found in proof(parse(text), text) if found.asks
    ] == []


def test_the_library_covers_the_forks_of_the_trade():
    """Common practice, no source: two styles of retaining ring, a bumper housing or none, two kinds
    of damper, two ways to close a can.
    """
    asked = {}
    for path in FILES:
        for variant in read(path).variants:
            asked.setdefault(variant.name, set()).update(variant.options)
    assert asked["ring"] == {"eyelet", "prong"}
    assert asked["bumper"] == {"fitted", "none"}
    assert asked["cartridge"] == {"open bath", "bladder"}
    assert asked["can"] == {"torque", "hand-tight"}


def test_no_part_under_air_opens_and_no_ring_moves_without_saying_why_it_is_critical(writeup):
    """The shop's hazard analysis (common practice): these openings can kill or blind."""
    for step in writeup.steps:
        if {
            "air chamber",
            "air can",
            "valve core",
            "gas charge",
            "retaining ring",
            "filling",
        } & set(step.opens):
            assert step.critical or step.id in {"remove-top-cap"}, step.id


def test_filling_waits_for_the_label_and_a_shock_for_its_proofs():
    """A maker's public pages (name withheld): assume that a shock is stuck down, and open none that
    is short or cannot be drawn out.
    """
    shock = read(FIXTURES / "writeups" / "rear-air-can-service.md")
    ids = [step.id for step in shock.steps]
    opening = ids.index("crack-air-can")
    for proved in (
        "read-label",
        "test-extension",
        "release-again",
        "measure-length",
        "push-body-in",
        "draw-body-out",
    ):
        assert ids.index(proved) < opening
    held = {step.id for step in shock.steps if step.hold}
    assert {"test-extension", "draw-body-out"} <= held
