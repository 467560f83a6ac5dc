"""Do the figures in the demo shop's write-ups and questions agree with physics, units and published
rules?

Each figure is read out of the text and worked out again here, from the law named beside the test.
Factors: NIST SP 811, appendix B.8 (1 psi = 6.894 757 kPa, 1 lbf·in = 0.112 984 8 N·m); standard air
pressure 101.325 kPa. Sizes of the chambers and bores are demo values.
"""

import math
import re
from pathlib import Path

import pytest
import yaml

FIXTURES = Path(__file__).parents[2] / "fixtures"
FILES = sorted((FIXTURES / "writeups").glob("*.md"))
KPA_PER_PSI = 6.894757
AIR = 101.325 / KPA_PER_PSI  # psi
IN_SI = {"psi": KPA_PER_PSI, "bar": 100.0, "N·m": 1.0, "in·lbf": 0.1129848}  # kPa, N·m


def said(name: str, pattern: str) -> list[float]:
    """The figures that a write-up (newest or only revision named) says in the words of the pattern;
    the words must be there.
    """
    text = " ".join((FIXTURES / "writeups" / name).read_text(encoding="utf-8").split())
    found = re.search(pattern, text)
    assert found, f"{name} no longer says {pattern}"
    return [float(group) for group in found.groups()]


def question(writeup: str, name: str) -> dict:
    text = (FIXTURES / "questions" / f"{writeup}.yaml").read_text(encoding="utf-8")
    return next(one for one in yaml.safe_load(text)["questions"] if one["name"] == name)


def force(psi: float, outer: float, inner: float = 0.0) -> float:
    """N on a ring-shaped area with diameters in mm: F = p·A."""
    return psi * KPA_PER_PSI / 1000 * math.pi / 4 * (outer**2 - inner**2)


@pytest.mark.parametrize("name", ["air-spring-service.r2.md", "travel-change.md"])
def test_the_force_on_a_ring_under_test_is_pressure_times_the_area_of_the_bore(name):
    """The ring holds the seal head, and the piston rests on the seal head: together the whole bore
    of 32 mm (demo value).
    """
    psi, newton = said(
        name,
        r"At \[\[(\d+) psi\]\] the pressurised air pushes on the retaining ring with a force "
        r"of (\d+) N",
    )
    assert newton == pytest.approx(force(psi, 32), abs=0.5)


def test_the_force_on_a_cap_under_test_is_pressure_times_the_area_of_the_bore():
    psi, newton = said(
        "volume-spacer.md",
        r"At \[\[(\d+) psi\]\] the pressurised air pushes on the top cap with a force of (\d+) N",
    )
    assert newton == pytest.approx(force(psi, 32), abs=0.5)


def test_each_spacer_raises_the_pressure_far_into_the_travel():
    """Boyle at one temperature, absolute pressures: what is left is the room less what the
    piston has swept.
    """
    text = (FIXTURES / "writeups" / "volume-spacer.md").read_text(encoding="utf-8")
    rows = re.findall(r"\| (\d) \| (\d+) cm³ \| (\d+) psi \|", text)
    [each, stroke] = said(
        "volume-spacer.md",
        r"Spacers of (\d+) cm³ \| Room at full extension \| Pressure (\d+) mm into the travel",
    )
    start, piston = said(
        "volume-spacer.md", r"for \[\[(\d+) psi\]\] at full extension, a piston of (\d+) mm"
    )
    swept = math.pi / 4 * piston**2 * stroke / 1000
    assert [int(number) for number, _, _ in rows] == [0, 1, 2]
    for number, room, psi in rows:
        assert float(room) == 150 - each * int(number)
        assert float(psi) == pytest.approx(
            (start + AIR) * float(room) / (float(room) - swept) - AIR, abs=0.5
        )


def test_the_question_about_room_and_pressure_has_the_answer_of_the_law():
    """Boyle: p·V is constant, absolute pressures."""
    asked = question("volume-spacer", "room-and-pressure")
    room, bar, left = (
        float(found)
        for found in re.search(
            r"of (\d+) cm³ holds air at (\d+) bar absolute.* leaves (\d+) cm³",
            asked["stem"],
            re.DOTALL,
        ).groups()
    )
    assert float(asked["amount"].split()[0]) == pytest.approx(bar * room / left)


def test_the_preload_bolt_pulls_as_the_handbooks_say():
    """T = K·d·F with K = 0.20 for a dry thread (machine-design handbooks); an M6 thread."""
    text = (FIXTURES / "writeups" / "fork-off-and-on.md").read_text(encoding="utf-8")
    rows = re.findall(r"\| ([\d.]+) N·m \| (\d+) N \|", text)
    assert len(rows) == 2
    for torque, newton in rows:
        assert float(newton) == pytest.approx(float(torque) / (0.20 * 0.006), abs=0.5)
    says = question("fork-off-and-on", "preload-torque")["says"]
    assert rows[0] == re.search(r"is ([\d.]+) N·m.*pulls with (\d+) N", says).groups()


def test_hose_and_negative_chamber_take_their_share_of_a_rear_shock():
    """Boyle at one temperature, absolute pressures; the hose is full of air of the room, and the
    chambers were equal before.
    """
    true, room, reads, hose = said(
        "rear-sag.md",
        r"a true \[\[(\d+) psi\]\] in (\d+) cm³ reads \[\[([\d.]+) psi\]\] with a hose "
        r"of (\d+) cm³",
    )
    worked = ((true + AIR) * room + AIR * hose) / (room + hose) - AIR
    assert reads == pytest.approx(worked, abs=0.05)
    asked = question("rear-sag", "hose-of-the-pump")["stem"]
    shown = re.search(r"set to (\d+) psi. Today the gauge shows ([\d.]+) psi", asked).groups()
    assert tuple(map(float, shown)) == (true, reads)
    more, fall, negative = said(
        "rear-sag.md",
        r"after \[\[(\d+) psi\]\] more, the strokes bring the reading down by "
        r"\[\[([\d.]+) psi\]\], because the negative chamber of (\d+) cm³",
    )
    assert fall == pytest.approx(more * negative / (room + negative), abs=0.05)


def test_a_can_holds_more_than_its_piston_pushes_out():
    """Area times stroke; bore and stroke are the demo values of the rear air can."""
    [room] = said("rear-sag.md", r"a true \[\[100 psi\]\] in (\d+) cm³ reads")
    swept = math.pi / 4 * 5.4**2 * 5.5
    facts = (FIXTURES / "FACTS.md").read_text(encoding="utf-8")
    assert f"a bore of 54 mm pushes out of it over 55 mm, {swept:.0f} cm³" in facts
    assert room > swept


def test_a_maximum_in_psi_is_read_in_bar():
    asked = question("rear-sag", "maximum-in-bar")
    [psi] = re.findall(r"(\d+) psi max", asked["stem"])
    low, high = map(float, re.match(r"([\d.]+) \.\. ([\d.]+) bar", asked["amount"]).groups())
    most = float(psi) * KPA_PER_PSI / 100
    assert most - 0.2 < low < high <= most
    [shown] = said("rear-sag.md", r"On a gauge in bar the pumping ends at \[\[([\d.]+) bar\]\]")
    assert shown == math.floor(most * 10) / 10
    assert low <= shown <= high


def test_the_sag_of_a_rear_shock_is_a_share_of_its_stroke():
    text = (FIXTURES / "writeups" / "rear-sag.md").read_text(encoding="utf-8")
    rows = re.findall(r"\| (\d+) % \| ([\d.]+) mm \|", text)
    assert [float(mm) for _, mm in rows] == pytest.approx(
        [55 * int(share) / 100 for share, _ in rows], abs=0.0501
    )
    low, high, *shares = said(
        "rear-sag.md",
        r"measure: sag ([\d.]+) \.\. ([\d.]+) mm "
        r"check: the sag is from (\d+) % to (\d+) % of the stroke",
    )
    assert rows == [(f"{shares[0]:.0f}", f"{low}"), (f"{shares[1]:.0f}", f"{high}")]
    assert float(question("rear-sag", "thirty-per-cent")["amount"].split()[0]) == 55 * 0.3


def test_a_bushing_in_the_middle_lies_equally_deep_on_both_sides():
    eye, bushing = said(
        "shock-bushings.md",
        r"demo shock is \[\[(\d+) mm\]\] wide and its bushing \[\[(\d+) mm\]\] long",
    )
    low, high = said("shock-bushings.md", r"depth on either side ([\d.]+) \.\. ([\d.]+) mm")
    assert (low + high) / 2 == pytest.approx((eye - bushing) / 2)


def test_the_oil_of_an_open_bath_stands_where_the_ruler_looks_for_it():
    """Volume = area × height, between bore and shaft, from the lower seal up."""
    deep, bore, shaft, oil, high, below = said(
        "damper-service.md",
        r"lower seal lies (\d+) mm below the rim. The bore is (\d+) mm and the shaft (\d+) mm "
        r"wide, so (\d+) mL stand (\d+) mm high and leave (\d+) mm",
    )
    assert high == pytest.approx(oil * 1000 / (math.pi / 4 * (bore**2 - shaft**2)), abs=0.5)
    assert below == deep - high
    low, most = said("damper-service.md", r"oil level below the rim (\d+) \.\. (\d+) mm")
    assert low < below < most
    assert said(
        "damper-service.md", r"Pour \[\[(\d+) mL\]\] of damper oil into the damper leg"
    ) == [oil]
    least, old = said(
        "damper-service.md", r"old oil (\d+) \.\. (\d+) mL check: no more than 15 mL is missing"
    )
    assert least == oil - 15
    assert old > oil


def test_the_force_on_an_air_can_is_pressure_times_area():
    outer, inner, full, at_full, left, at_left = said(
        "rear-air-can-service.md",
        r"between can and body, (\d+) mm and (\d+) mm, \[\[(\d+) psi\]\] push with (\d+) N, "
        r"and \[\[(\d+) psi\]\] that are left still push with (\d+) N",
    )
    assert at_full == pytest.approx(force(full, outer, inner), abs=0.5)
    assert at_left == pytest.approx(force(left, outer, inner), abs=0.5)
    psi, newton = said(
        "rear-air-can-service.md",
        r"At \[\[(\d+) psi\]\] the pressurised air pushes on the can with a force of (\d+) N",
    )
    assert newton == pytest.approx(force(psi, outer, inner), abs=0.5)


def test_an_adapter_in_line_lengthens_the_arm_of_a_torque_wrench():
    """M = F·r: the same hand force at a longer arm; at a right angle the arm across it stays."""
    longer, arm, percent = said(
        "rear-air-can-service.md",
        r"In line its \[\[(\d+) mm\]\] add to the \[\[(\d+) mm\]\] of the torque wrench, and the "
        r"can gets (\d+) % too much",
    )
    assert percent == pytest.approx(100 * longer / arm)


def test_the_question_about_the_air_that_is_left_has_the_answer_of_the_law():
    asked = question("rear-air-can-service", "force-left")
    area, newton = (
        float(found)
        for found in re.search(
            r"is (\d+) mm² large.*with (\d+) N", asked["stem"], re.DOTALL
        ).groups()
    )
    psi, tolerance = (
        float(found) for found in re.match(r"(\d+) ± ([\d.]+) psi", asked["amount"]).groups()
    )
    assert area == pytest.approx(math.pi / 4 * (54**2 - 40**2), abs=0.5)
    assert newton / area * 1000 / KPA_PER_PSI == pytest.approx(psi, abs=tolerance)


def test_readings_fall_as_two_chambers_share_their_air():
    """Boyle at one temperature, absolute pressures: p = (p1·V1 + p2·V2) / (V1 + V2), topped up to
    100 psi before each round.
    """
    rounds = [
        float(psi)
        for psi in re.findall(
            r"\| \d \| (\d+) psi \|",
            (FIXTURES / "writeups" / "air-and-sag.md").read_text(encoding="utf-8"),
        )
    ]
    negative, positive, top = said(
        "air-and-sag.md",
        r"negative chamber of (\d+) cm³ that was empty, and a positive chamber of (\d+) cm³ "
        r"at \[\[(\d+) psi\]\]",
    )
    below = AIR
    for reading in rounds:
        below = ((top + AIR) * positive + below * negative) / (positive + negative)
        assert reading == pytest.approx(below - AIR, abs=0.5)
    assert len(rounds) == 3


def test_a_pump_hose_takes_the_share_of_its_volume():
    """The same law, with a hose full of air of the room."""
    hose, true, reads = said(
        "air-and-sag.md",
        r"With a hose of (\d+) cm³, a true \[\[(\d+) psi\]\] then reads \[\[([\d.]+) psi\]\]",
    )
    worked = ((true + AIR) * 150 + AIR * hose) / (150 + hose) - AIR
    assert reads == pytest.approx(worked, abs=0.05)
    assert said("air-and-sag.md", r"hose of the pump, 5 cm³ \| ([\d.]+) psi down")[
        0
    ] == pytest.approx(true - worked, abs=0.05)
    assert said("release-the-air.r3.md", r"a true \[\[100 psi\]\] can read \[\[([\d.]+) psi\]\]")[
        0
    ] == pytest.approx(worked, abs=0.05)
    assert question("air-and-sag", "hose-loss")["amount"].startswith(f"{worked:.1f} ")


def test_cold_lowers_the_pressure_of_a_closed_chamber():
    """Gay-Lussac: p/T is constant, absolute pressure and absolute temperature; here from 20 °C."""
    per_degree = (100 + AIR) / 293.15
    assert said("air-and-sag.md", r"each degree Celsius colder \| ([\d.]+) psi down")[
        0
    ] == pytest.approx(per_degree, abs=0.005)
    colder, explained = said(
        "air-and-sag.md", r"a room that is (\d+) °C colder explains a loss of \[\[([\d.]+) psi\]\]"
    )
    assert explained == pytest.approx(3.2 + colder * per_degree + 2, abs=0.1)


def test_the_cold_morning_is_no_leak():
    """Gay-Lussac from 22 °C to 10 °C, then the hose; the question's right answer must be what the
    laws say.
    """
    asked = question("air-and-sag", "cold-morning")
    evening, warm, cold, read = (
        float(found)
        for found in re.search(
            r"(\d+) psi at (\d+) °C.* has (\d+) °C.* reads (\d+) psi", asked["stem"], re.DOTALL
        ).groups()
    )
    drop = (evening + AIR) * (warm - cold) / (warm + 273.15)
    [right] = [option["text"] for option in asked["options"] if option.get("right")]
    degrees, by_cold, by_hose = (float(found) for found in re.findall(r"\d+(?:\.\d+)?", right))
    assert degrees == warm - cold
    assert by_cold == pytest.approx(drop, abs=0.05)
    assert evening - read <= by_cold + by_hose


def test_sag_is_a_share_of_the_travel():
    ranges = re.findall(
        r"measure: sag ([\d.]+) \.\. ([\d.]+) mm\ncheck: the sag is from (\d+) % to (\d+) % "
        r"of the travel",
        (FIXTURES / "writeups" / "air-and-sag.md").read_text(encoding="utf-8"),
    )
    assert len(ranges) == 3
    for low_mm, high_mm, low, high in ranges:
        assert (float(low_mm), float(high_mm)) == (160 * int(low) / 100, 160 * int(high) / 100)
    low, high, *millimetres = said(
        "rear-air-can-service.md",
        r"from (\d+) % to (\d+) % of its stroke, so from \[\[([\d.]+) mm\]\] to \[\[([\d.]+) "
        r"mm\]\]",
    )
    assert millimetres == pytest.approx([55 * low / 100, 55 * high / 100], abs=0.0501)


def test_a_value_in_two_units_says_the_same_twice():
    pairs = {
        pair
        for path in FILES
        for pair in re.findall(
            r"\[\[([\d.]+) ([^\]]+)\]\] \(\[\[([\d.]+) ([^\]]+)\]\]\)",
            path.read_text(encoding="utf-8"),
        )
    }
    assert {(unit, second) for _, unit, _, second in pairs} == {("N·m", "in·lbf"), ("psi", "bar")}
    for one, unit, other, second in pairs:
        last_digit = 10 ** -len(other.partition(".")[2])
        assert float(one) * IN_SI[unit] / IN_SI[second] == pytest.approx(
            float(other), abs=last_digit / 2
        ), (one, unit)


def test_isopropyl_alcohol_burns_below_room_temperature():
    """Flash point 53 °F: NIOSH pocket guide."""
    [right, *_] = [
        option
        for option in question("lower-leg-service", "solvent")["options"]
        if option.get("right")
    ]
    bound = float(re.search(r"flash point lies below (\d+) °C", right["says"])[1])
    assert (53 - 32) * 5 / 9 <= bound < 20
