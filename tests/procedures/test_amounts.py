"""Is an amount read, converted and compared as it is meant?"""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures.records.wording.say import say
from procedures.writeup.amounts import (
    UNITS,
    BadAmount,
    convert,
    lies_within,
    read_amount,
    split_amount,
)
from tests.for_each import for_each

# Factors as printed in NIST Special Publication 811 (2008), appendix B.8, or exact by definition
# (marked so).
NIST_SP_811 = [
    ("1 psi", "kPa", "6.894757", "1e-6"),
    ("1 in·lbf", "N·m", "0.1129848", "1e-6"),
    ("1 ft·lbf", "N·m", "1.355818", "1e-6"),
    ("1 kgf·cm", "N·m", "0.0980665", "0"),  # exact: standard gravity is 9.80665 m/s²
    ("1 bar", "kPa", "100", "0"),  # exact
    ("1 in", "mm", "25.4", "0"),  # exact
    ("1 L", "cm³", "1000", "0"),  # exact
    ("1 MPa", "bar", "10", "0"),  # exact
]


@pytest.mark.parametrize(("written", "unit", "factor", "tolerance"), NIST_SP_811)
def test_factors_are_those_of_nist_sp_811(written, unit, factor, tolerance):
    got = convert(read_amount(written), unit).value
    assert abs(got - Decimal(factor)) <= Decimal(factor) * Decimal(tolerance)


# Worked out by hand from the factors above: 1 bar = 100 / 6.894757 psi; 28 / 0.1129848 in·lbf; 12 /
# 0.0980665 kgf·cm.
@pytest.mark.parametrize(
    ("written", "unit", "expected"),
    [("1 bar", "psi", "14.50377"), ("28 N·m", "in·lbf", "247.821"), ("12 Nm", "kgf·cm", "122.366")],
)
def test_worked_conversions(written, unit, expected):
    assert convert(read_amount(written), unit).value == pytest.approx(
        Decimal(expected), rel=Decimal("1e-5")
    )


# Fixed points of the temperature scales: water freezes at 0 °C = 32 °F = 273.15 K and boils at 100
# °C = 212 °F (definition of the scales).
@pytest.mark.parametrize(
    ("written", "unit", "expected"),
    [("0 °C", "°F", 32), ("100 °C", "°F", 212), ("0 °C", "K", "273.15"), ("212 °F", "°C", 100)],
)
def test_temperatures_meet_the_fixed_points(written, unit, expected):
    assert convert(read_amount(written), unit).value == pytest.approx(
        Decimal(expected), abs=Decimal("1e-20")
    )


@for_each(
    [
        ("28 N·m", None, "28", None, "N·m", "torque"),
        ("28 Nm", None, "28", None, "N·m", "torque"),
        ("28 ± 2 N·m", "26", "28", "30", "N·m", "torque"),
        ("28±2N·m", "26", "28", "30", "N·m", "torque"),
        ("28 ± 10 % N·m", "25.2", "28", "30.8", "N·m", "torque"),
        ("28 N·m ± 10 %", "25.2", "28", "30.8", "N·m", "torque"),
        ("20..30 %", "20", None, "30", "%", "share"),
        ("20 .. 30 %", "20", None, "30", "%", "share"),
        ("25 ± 5 %", "20", "25", "30", "%", "share"),
        ("1,5 mL", None, "1.5", None, "mL", "volume"),
        ("-10..40 °C", "-10", None, "40", "°C", "temperature"),
        ("2 turns", None, "2", None, "turns", "count"),
    ]
)
def test_amounts_are_read(written, low, value, high, unit, kind):
    amount = read_amount(written)
    expected = tuple(None if number is None else Decimal(number) for number in (low, value, high))
    assert (amount.low, amount.value, amount.high) == expected
    assert (amount.unit, amount.kind) == (unit, kind)


@for_each(
    [
        "28",
        "N·m",
        "",
        "28 foo",
        "28 ± 2",
        "30..20 %",
        "28 N·m extra",
        "1.2.3 mL",
        "28 ± 2 ± 3 N·m",
        "20..30 % ± 5 %",
        "٣ mL",
        "5 ML",
    ]
)
def test_what_is_no_amount_is_refused(written):
    with pytest.raises(BadAmount):
        read_amount(written)


def test_a_wrong_kind_is_refused_and_said():
    with pytest.raises(BadAmount) as caught:
        read_amount("28 bar", ("torque",))
    assert say(caught.value.remark).startswith("“28 bar” is a pressure, but a torque belongs here.")
    assert read_amount("28 N·m", ("torque",)).kind == "torque"


@pytest.mark.parametrize(
    ("written", "name", "number"),
    [
        ("suspension oil 1 mL", "suspension oil", 1),
        ("7.5 wt oil 10 mL", "7.5 wt oil", 10),
        ("M5x0.8 bolt 6 N·m", "M5x0.8 bolt", 6),
    ],
)
def test_a_name_may_stand_before_the_amount(written, name, number):
    found, amount = split_amount(written)
    assert (found, amount.value) == (name, number)


def test_a_name_without_an_amount_is_a_name():
    assert split_amount("lint-free  rag") == ("lint-free rag", None)


@pytest.mark.parametrize(
    "written", ["oil 5", "oil 5 drops", "oil 1 000 mL", "oil 3-5 mL", "oil ½ L"]
)
def test_an_amount_that_cannot_be_read_is_not_taken_for_a_name(written):
    with pytest.raises(BadAmount):
        split_amount(written)


@for_each(
    [
        "5 - 7 N·m",
        "cap 5 – 7 N·m",
        "between 5 and 7 N·m",
        "5 N·m to 7 N·m",
        "5 N·m 7 N·m",
        "5, 7 N·m",
        "sag 20% to 30 %",
        "5 N·m / 44 in·lbf",
    ]
)
def test_of_two_numbers_the_second_is_not_taken_in_silence(written):
    with pytest.raises(BadAmount) as caught:
        split_amount(written)
    assert "two numbers" in say(caught.value.remark)


@for_each(["hex 5 mm - 7 N·m", "the 4 bolts to 7 N·m", "M5 - 7 N·m", "motor 7 N·m"])
def test_a_number_that_names_the_part_is_no_second_amount(written):
    assert split_amount(written)[1].value == 7


@pytest.mark.parametrize(
    ("given_", "wanted", "is_within"),
    [
        ("26 N·m", "28 ± 2 N·m", True),
        ("30 N·m", "28 ± 2 N·m", True),
        ("30.1 N·m", "28 ± 2 N·m", False),
        ("248 in·lbf", "28 ± 2 N·m", True),
        ("100 kPa", "1 bar", True),
        ("99 kPa", "1 bar", False),
        ("22..28 %", "20..30 %", True),
        ("22..31 %", "20..30 %", False),
        ("1 L", "1000 cm³", True),
    ],
)
def test_an_amount_lies_within_another_or_not(given_, wanted, is_within):
    assert lies_within(read_amount(given_), read_amount(wanted)) is is_within


@pytest.mark.parametrize(
    ("given_", "wanted"), [("28 bar", "28 N·m"), ("2 turns", "2 clicks"), ("5 %", "5 mL")]
)
def test_amounts_of_other_kinds_cannot_be_compared(given_, wanted):
    with pytest.raises(BadAmount):
        lies_within(read_amount(given_), read_amount(wanted))


@given(st.sampled_from(sorted(UNITS)), st.sampled_from(sorted(UNITS)), st.integers(1, 10**6))
def test_there_and_back_is_the_same_amount(one, other, number):
    amount = read_amount(f"{number} {one}")
    try:
        back = convert(convert(amount, other), one)
    except BadAmount:
        assert UNITS[one][1] != UNITS[other][1] or UNITS[one][1] == "count"
    else:
        assert back.value == pytest.approx(Decimal(number), rel=Decimal("1e-20"))


@given(st.text(max_size=400))
def test_any_text_is_read_or_refused(written):
    try:
        amount = read_amount(written)
    except BadAmount:
        return
    assert amount.unit in UNITS
