"""Do the forces that a hand or a rider meets in the demo's air springs follow from their sizes?

Laws: Boyle for a slow stroke, p·V constant; the adiabatic p·V^1.4 for one that is too fast for heat
to leave (gas laws of any handbook); F = p·A. Absolute pressures in the laws, gauge pressures in the
forces. All sizes are the demo values of `fixtures/FACTS.md`.
"""

import math
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.procedures.test_shop_physics import AIR, FIXTURES, force, said

FAST = 1.4


@dataclass(frozen=True)
class Spring:
    """Two chambers on one piston: room in cm³ at full length, diameters in mm."""

    above: float
    below: float
    bore: float
    shaft: float

    def back(self, psi: float, stroke: float, power: float = 1.0) -> tuple[float, float]:
        """N that push out above the piston and pull in below it (less than nothing where thin air
        holds out), when both chambers held this gauge pressure before the stroke in mm.
        """
        swept = math.pi / 4 * self.bore**2 * stroke / 1000
        ring = math.pi / 4 * (self.bore**2 - self.shaft**2) * stroke / 1000
        up = (psi + AIR) * (self.above / (self.above - swept)) ** power - AIR
        down = (psi + AIR) * (self.below / (self.below + ring)) ** power - AIR
        return force(up, self.bore), force(down, self.bore, self.shaft)

    def net(self, psi: float, stroke: float, power: float = 1.0) -> float:
        """N against the hand."""
        out, pull = self.back(psi, stroke, power)
        return out - pull


FORK = Spring(above=150, below=40, bore=32, shaft=10)
SHOCK = Spring(above=200, below=25, bore=54, shaft=40)
FACTS = (FIXTURES / "FACTS.md").read_text(encoding="utf-8")
LOADED = ["shock-bushings.md", "charged-shock-sent-out.md", "rear-air-can-service.md"]
WITH_A_CYCLE = [
    "lower-leg-service.r2.md",
    "air-spring-service.r2.md",
    "travel-change.md",
    "damper-service.md",
    "air-and-sag.md",
    "volume-spacer.md",
]


def test_air_behind_a_closed_core_keeps_a_fork_from_its_bottom():
    """Room air in both chambers as the core goes in at full length: above the piston it is
    squeezed, below it is thinned, and both hold the fork out.
    """
    slow, fast = said(
        "travel-change.md",
        r"holds the fork back at the bottom of the travel. The air does so with (\d+) N after a "
        r"slow stroke, and with up to (\d+) N in a fast one",
    )
    [stroke] = said("travel-change.md", r"from \[\[160 mm\]\] to \[\[(\d+) mm\]\]")
    assert slow == pytest.approx(FORK.net(0, stroke), abs=0.5)
    assert fast == pytest.approx(FORK.net(0, stroke, FAST), abs=0.5)


def test_the_facts_say_where_other_figures_for_it_come_from():
    """Above the piston alone over 150 mm; over the old travel with 1 mL of oil on the piston."""
    alone, _ = FORK.back(0, 150)
    oiled, _ = Spring(above=149, below=40, bore=32, shaft=10).back(0, 160)
    assert f"above the piston alone it is {alone:.0f} N" in FACTS
    assert f"over the old 160 mm, with 1 mL of oil on the piston, {oiled:.0f} N" in FACTS


@pytest.mark.parametrize("name", WITH_A_CYCLE)
def test_two_hands_do_a_cycle_of_a_full_fork(name):
    """A short stroke: the chambers meet near full length, so no more is asked for."""
    stroke, psi, newton = said(
        name,
        r"A cycle goes \[\[(\d+) mm\]\] in, by the sag ring, and back to full length. There the "
        r"chambers meet. Two hands at the lower leg do that. With \[\[(\d+) psi\]\] in both "
        r"chambers it takes (\d+) N",
    )
    assert newton == pytest.approx(FORK.net(psi, stroke), abs=0.5)
    assert newton < 250  # common practice, no source: what two arms push without a jerk


@pytest.mark.parametrize("name", LOADED)
def test_a_full_shock_pushes_back_from_the_first_millimetre(name):
    psi, newton = said(name, r"At \[\[(\d+) psi\]\] the demo shock pushes back with (\d+) N")
    assert newton == pytest.approx(SHOCK.net(psi, 0), abs=0.5)


def rear_wheel() -> tuple[float, float, float, float]:
    """Leverage, and kilograms of the rider, their share and those of the bike on the rear wheel."""
    leverage, rider, share, bike = said(
        "rear-sag.md",
        r"leverage of ([\d.]+), so that is \d+ N at the wheel. The demo rider of (\d+) kg brings "
        r"(\d+) % of the weight to the rear wheel, and the bike brings (\d+) kg",
    )
    return leverage, rider, share / 100, bike


def test_the_demo_rider_has_the_sag_of_the_demo_at_the_riding_pressure():
    """Balance at the wheel: the shock divided by the leverage carries rider and bike, at a leverage
    that frames have (2.5 to 3: common practice, no source).
    """
    psi, sag, newton, at_wheel = said(
        "rear-sag.md",
        r"At \[\[(\d+) psi\]\] and a sag of \[\[([\d.]+) mm\]\] the demo shock pushes back with "
        r"(\d+) N.*?so that is (\d+) N at the wheel",
    )
    leverage, rider, share, bike = rear_wheel()
    assert newton == pytest.approx(SHOCK.net(psi, sag), abs=0.5)
    assert at_wheel == pytest.approx(newton / leverage, abs=0.5)
    assert 2.5 <= leverage <= 3
    low, high = said("rear-sag.md", r"measure: sag ([\d.]+) \.\. ([\d.]+) mm")
    load = (rider * share + bike) * 9.80665
    assert SHOCK.net(psi, low) < load * leverage < SHOCK.net(psi, high)
    assert low < sag < high


@pytest.mark.parametrize("name", [*LOADED, "rear-sag.md"])
def test_the_weight_of_a_mechanic_does_the_pushes_of_a_full_shock(name):
    """What the shock asks for at the wheel, less the bike's own weight; three quarters of a push at
    the saddle go to the rear wheel (demo value), the rest to the front one.
    """
    stroke, psi, newton, kilograms = said(
        name,
        r"when the sag ring has moved by \[\[(\d+) mm\]\]. At \[\[(\d+) psi\]\] that takes (\d+) N "
        r"on the saddle, the weight of (\d+) kg",
    )
    leverage, _rider, _share, bike = rear_wheel()
    gas = force(200, 10) if name.startswith("charged") else 0
    hand = ((SHOCK.net(psi, stroke) + gas) / leverage - bike * 9.80665) / 0.75
    assert newton == pytest.approx(hand, abs=0.5)
    assert kilograms == pytest.approx(hand / 9.80665, abs=0.5)
    assert kilograms < 50  # common practice, no source: one straight arm, with the trunk on it


@pytest.mark.parametrize("name", LOADED)
def test_the_bike_alone_leaves_the_shock_at_its_full_length(name):
    """On the floor the chambers can meet only where the bike's own weight does not hold it in."""
    [first] = said(
        name, r"Inflate the shock to \[\[(\d+) psi\]\] \(\[\[3.4 bar\]\]\) while it hangs"
    )
    leverage, _rider, _share, bike = rear_wheel()
    assert SHOCK.net(first, 0) > bike * 9.80665 * leverage


def test_a_hanging_wheel_hides_trapped_air():
    """F = p·A on the ring between can and body."""
    newton, hidden = said(
        "shock-bushings.md",
        r"draws at the demo shock with (\d+) N hides \[\[([\d.]+) psi\]\] of trapped air",
    )
    assert newton == pytest.approx(force(hidden, 54, 40), abs=force(0.05, 54, 40))


def test_two_palms_push_an_empty_shock_in_on_the_bench():
    """Room air behind the closed core, on both sides of the piston."""
    [stroke] = said("shock-bushings.md", r"Push the upright shock in by \[\[(\d+) mm\]\]")
    assert f"takes {SHOCK.net(0, stroke):.0f} N" in FACTS
    low, high = said("shock-bushings.md", r"measure: body pushed in (\d+) \.\. (\d+) mm")
    assert low < stroke < high


def test_a_sound_body_comes_out_again_where_its_core_is_out():
    """Only the room below the piston is closed then, and it has grown."""
    [stroke] = said("rear-air-can-service.md", r"Push the body into the can by \[\[(\d+) mm\]\]")
    _, pull = SHOCK.back(0, stroke)
    assert f"draws a sound body out with {-pull:.0f} N" in FACTS


def test_what_is_worked_out_here_stands_in_no_other_figure():
    """No write-up still names the way or the force of before."""
    texts = [path.read_text(encoding="utf-8") for path in Path(FIXTURES / "writeups").glob("*.md")]
    assert not [text for text in texts if "a quarter of the travel in" in text or "335 N" in text]
