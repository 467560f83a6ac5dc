"""Do the figures about quarantine, bushing play, a charged shock and checked tools agree with the
laws of mechanics and of gases?

Each figure is read out of the text and worked out again here, from the law named beside the test.
The standard fall of 9.80665 m/s² is that of ISO 80000-3 (from memory); factors and standard air
pressure are those of `test_shop_physics`. Sizes of parts are demo values.
"""

import math
import re

import pytest

from tests.procedures.test_shop_physics import AIR, force, question, said

FALL = 9.80665
INTAKE, PLAY = "intake-and-diagnosis.md", "bushing-play-check.md"
CHARGED, TOOLS = "charged-shock-sent-out.md", "tool-check.md"


def the_right_one(asked: dict) -> float:
    """The number with which the only right option begins."""
    [text] = [option["text"] for option in asked["options"] if option.get("right")]
    return float(text.split()[0])


def warmed(psi: float, before: float, after: float) -> float:
    """Gauge pressure of a closed gas at another temperature (°C): p/T stays, both absolute."""
    return (psi + AIR) * (after + 273.15) / (before + 273.15) - AIR


def test_trapped_air_pulls_and_the_air_above_pushes_back_by_their_areas():
    """F = p·A: below the piston the ring of bore and shaft, above it the whole bore."""
    psi, pull, kilograms = said(
        INTAKE,
        r"trapped air of \[\[(\d+) psi\]\] pulls at full length with (\d+) N, "
        r"the weight of (\d+) kg",
    )
    assert pull == pytest.approx(force(psi, 32, 10), abs=0.5)
    assert kilograms == pytest.approx(force(psi, 32, 10) / FALL, abs=0.5)
    above, push = said(
        INTAKE, r"Air of \[\[(\d+) psi\]\] above the piston pushes back with (\d+) N"
    )
    assert push == pytest.approx(force(above, 32), abs=0.5)
    [label] = said(INTAKE, r"measure: label maximum (\d+) psi")
    assert push > pull  # so the hand has little left to do
    [inflated] = said(INTAKE, r"Inflate the fork to \[\[(\d+) psi\]\] \(")
    assert inflated == above <= label  # and no text of the write-up or its questions tries more
    low, high = said(
        INTAKE, r"makes: fork inflated tool: shock pump measure: air pressure (\d+) \.\. (\d+) psi"
    )
    assert low < above < high
    assert f"{above:.0f} psi" in question("intake-and-diagnosis", "still-short-under-air")["stem"]
    assert f"{pull:.0f} N" in question("intake-and-diagnosis", "why-air-first")["stem"]


def moves(gap: float, between: float, below: float) -> float:
    """The whole way of the axle by similar triangles: the stanchion touches its two bushings on
    opposite sides, half a gap off the middle each, and then the other way round.
    """
    slope = gap / between
    return 2 * (gap / 2 + slope * below)


def test_the_axle_moves_the_gap_of_two_bushings_many_times_over():
    between, below, times = said(
        PLAY,
        r"bushings lie \[\[(\d+) mm\]\] apart and the axle \[\[(\d+) mm\]\] below the lower one, "
        r"so the axle moves (\d+) times the gap",
    )
    assert moves(1, between, below) == pytest.approx(times)
    gap, way = said(
        PLAY, r"worn-out gap of \[\[([\d.]+) mm\]\] moves the axle by \[\[([\d.]+) mm\]\]"
    )
    assert way == pytest.approx(moves(gap, between, below))
    newton, bends = said(PLAY, r"(\d+) N to each side bend them by \[\[([\d.]+) mm\]\] in all")
    assert bends == pytest.approx(2 * newton / 100)  # 100 N/mm, a demo value
    [most] = said(PLAY, r"So \[\[([\d.]+) mm\]\] on the gauge is the most that passes")
    assert most == pytest.approx(way + bends)
    assert said(PLAY, r"check: both readings are ([\d.]+) mm at most") == [most]
    assert question("bushing-play-check", "the-most")["amount"].endswith(f".. {most} mm")


def test_the_questions_about_play_have_the_answers_of_the_law():
    asked = question("bushing-play-check", "from-gap-to-axle")
    numbers = re.findall(r"([\d.]+) mm", asked["stem"])
    between, below, gap = (float(number) for number in numbers)
    assert the_right_one(asked) == pytest.approx(moves(gap, between, below))
    alone = question("bushing-play-check", "play-alone")
    shown, newton = map(float, re.search(r"([\d.]+) mm for (\d+) N", alone["stem"]).groups())
    assert the_right_one(alone) == pytest.approx(shown - 2 * newton / 100)


def test_the_gas_of_a_damper_pushes_its_shaft_and_hides_air_in_the_can():
    """F = p·A on the shaft; the air that pulls as hard stands on the ring between can and body."""
    psi, shaft, push = said(
        CHARGED,
        r"gas of the demo shock stands at \[\[(\d+) psi\]\] and pushes the damper shaft of "
        r"(\d+) mm out with (\d+) N",
    )
    assert push == pytest.approx(force(psi, shaft), abs=0.5)
    [hidden] = said(CHARGED, r"can hide up to ([\d.]+) psi of trapped air")
    assert force(hidden, 54, 40) == pytest.approx(force(psi, shaft), abs=force(0.05, 54, 40))
    asked = question("charged-shock-sent-out", "hidden-air")["amount"]
    right, tolerance = map(float, re.match(r"([\d.]+) ± ([\d.]+) psi", asked).groups())
    assert hidden == pytest.approx(right, abs=tolerance)


def test_a_closed_can_helps_the_shaft_out_at_first():
    """Boyle at one temperature from air of the room: 200 cm³ above a bore of 54 mm get smaller,
    25 cm³ on the ring below get larger, and both push the shaft out.
    """
    millimetres, newton = said(
        CHARGED, r"Pushed in by \[\[(\d+) mm\]\], the air of the closed can adds (\d+) N"
    )
    bore, ring = math.pi / 4 * 5.4**2, math.pi / 4 * (5.4**2 - 4.0**2)  # cm²
    in_cm = millimetres / 10
    above = AIR * 200 / (200 - bore * in_cm) - AIR
    below = AIR * 25 / (25 + ring * in_cm) - AIR
    assert newton == pytest.approx(force(above, 54) - force(below, 54, 40), abs=0.5)
    low, high = said(CHARGED, r"measure: body pushed in (\d+) \.\. (\d+) mm")
    assert low < millimetres < high


def test_heat_raises_a_charge():
    psi, before, hot, after = said(
        CHARGED,
        r"A charge of \[\[(\d+) psi\]\] at \[\[(\d+) °C\]\] stands at \[\[(\d+) psi\]\] "
        r"at \[\[(\d+) °C\]\]",
    )
    assert hot == pytest.approx(warmed(psi, before, after), abs=0.5)
    asked = question("charged-shock-sent-out", "hot-car")
    psi, before, after = map(
        float, re.search(r"(\d+) psi at (\d+) °C.* at (\d+) °C", asked["stem"]).groups()
    )
    right, tolerance = map(float, re.match(r"(\d+) ± (\d+) psi", asked["amount"]).groups())
    assert warmed(psi, before, after) == pytest.approx(right, abs=tolerance)


def torque(kilograms: float, metres: float) -> float:
    """N·m of a mass on a level arm: M = m·g·r."""
    return kilograms * FALL * metres


def off(kilograms: float, setting: float, how: tuple[float, float, float]) -> float:
    """Per cent by which a weight lies off the setting, with this share, arm and cosine."""
    share, metres, cosine = how
    return 100 * (torque(kilograms + share, metres) * cosine / setting - 1)


def test_the_weights_lie_just_inside_the_limit_of_the_wrench():
    """M = F·r·cos, the wrench's own share among the mass; arm, own share and level each as far off
    as the check lets them be, all to the worse side. So whatever wrench passes is within the limit.
    """
    [percent] = said(TOOLS, r"This shop takes (\d+) % to each side")
    [share] = said(TOOLS, r"\[\[([\d.]+) kg\]\] for the demo wrench")
    arm_off, share_off, tilt, limit, sure = said(
        TOOLS,
        r"The arm may be off by (\d+) mm, the own share by ([\d.]+) kg and the level by (\d+)°. "
        r"The weights lie inside the limit by that much. So a wrench that passes is within (\d+) "
        r"%, and one that is within (\d+) % passes",
    )
    assert limit == percent
    assert said(TOOLS, r"measure: arm (\d+) \.\. (\d+) mm") == [300 - arm_off, 300 + arm_off]
    assert said(TOOLS, r"measure: own share ([\d.]+) \.\. ([\d.]+) kg") == pytest.approx(
        [share - share_off, share + share_off]
    )
    least = (share - share_off, (300 - arm_off) / 1000, math.cos(math.radians(tilt)))
    most = (share + share_off, (300 + arm_off) / 1000, 1.0)
    for setting in (7, 24):
        light, heavy = said(TOOLS, rf"\| {setting} N·m \| ([\d.]+) kg \| ([\d.]+) kg \|")
        assert off(light, setting, least) >= -percent  # silent, and no further off than that
        assert off(heavy, setting, most) <= percent
        assert off(light, setting, most) <= -sure  # a wrench that is good to this much passes
        assert off(heavy, setting, least) >= sure
        for kilograms in (light, heavy):
            assert said(TOOLS, rf"Hang the weight of \[\[({kilograms}) kg\]\]") == [kilograms]
            assert said(TOOLS, rf"tool: check weight of ({kilograms}) kg") == [kilograms]


def test_a_tilted_arm_gives_less():
    """Only the arm across the pull counts: its cosine."""
    kilograms, arm, newton_metres = said(
        TOOLS, r"A mass of (\d+) kg on an arm of \[\[(\d+) mm\]\] gives ([\d.]+) N·m"
    )
    assert newton_metres == pytest.approx(torque(kilograms, arm / 1000), abs=0.005)
    tilts = said(
        TOOLS, r"Tilted by (\d+)°, it gives ([\d.]+) % less. Tilted by (\d+)°, it gives ([\d.]+) %"
    )
    for degrees, percent in (tilts[:2], tilts[2:]):
        assert percent == pytest.approx(100 * (1 - math.cos(math.radians(degrees))), abs=0.05)
    asked = question("tool-check", "not-level")
    assert "15°" in asked["stem"]
    [right] = [option["text"] for option in asked["options"] if option.get("right")]
    assert float(re.search(r"([\d.]+) %", right)[1]) == tilts[3]


def test_the_question_about_a_mass_has_the_answer_of_the_law():
    asked = question("tool-check", "mass-for-a-torque")
    share, arm, newton_metres, fall = map(
        float,
        re.search(
            r"([\d.]+) kg own share.* arm is (\d+) mm.* makes (\d+) N·m in all\? Take ([\d.]+) N",
            asked["stem"],
        ).groups(),
    )
    worked = newton_metres / (arm / 1000) / fall - share
    assert the_right_one(asked) == pytest.approx(worked, abs=0.005)


def test_a_longer_arm_lets_a_late_wrench_pass():
    """M = F·r: 5 % more arm gives 5 % more torque, more than the 4 % that the check would find."""
    asked = question("tool-check", "arm-too-long")
    longer, taken = map(float, re.search(r"arm is (\d+) mm.* for (\d+) mm", asked["stem"]).groups())
    [right] = [option["says"] for option in asked["options"] if option.get("right")]
    assert f"{100 * (longer / taken - 1):.0f} % more torque" in right
