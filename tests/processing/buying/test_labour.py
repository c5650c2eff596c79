"""Days at a machine and people to clear, against the safety regulator and practice.md."""

from dataclasses import replace

from lawnmap.model import Machine
from lawnmap.processing.buying.labour import labour

PETROL = Machine("petrol", "petrol", width_m=0.38, speed_km_h=3.0, field_efficiency=0.7,
                 vibration_m_s2=5.0)  # fmt: skip
FIRM = {"user": "professional"}


def said(lawn, *, area=6000.0, machine=PETROL, people=1, **choices):
    crew = {"people": people, "hours_a_day": 7.0}
    specification = lawn.choices(own=[machine], crew=crew, **{**FIRM, **choices})
    return labour(
        lawn.work(lawn.zones({"ground_area_m2": area}), specification).steps, specification
    )


def test_vibration_of_an_estate(lawn):
    """HSE: 5 m/s² reaches 100 points in 2 h and 400 in 8 h; 6,000 m² twice are 15.0 h."""
    vibration, _, _ = said(lawn)
    assert vibration.startswith("petrol: ")
    assert "for 8 h a day until 400 points" in vibration
    assert "Here are 15 h of passes" in vibration
    assert vibration.endswith("100 points are reached in 2 h.")


def test_little_work_shakes_nobody(lawn):
    assert said(lawn, area=300.0, user="home") == ()


def test_two_days_fail_with_one_machine(lawn):
    """practice.md, scenario of 6,000 m²: 15.0 h of blades need three days, or two machines."""
    *_, days = said(lawn)
    assert "The machines alone need 3 days" in days
    # 36 to 78 m³ at 200 to 600 l/h are 60 to 390 h, and 15.3 to 15.5 h of blades.
    assert days.startswith("Blades and clearing are 75 to 406 h of one person: 11 to 58 days")
    assert "takes 4 to 20 people" in days
    *_, two = said(lawn, machine=replace(PETROL, count=2))
    assert "The machines alone need 2 days" in two


def test_vibration_stretches_the_days_of_one_person(lawn):
    *_, alone = said(lawn, machine=replace(PETROL, vibration_m_s2=10.0))
    assert "The machines alone need 8 days" in alone
    *_, four = said(lawn, machine=replace(PETROL, vibration_m_s2=10.0), people=4)
    assert "The machines alone need 3 days" in four


def test_at_home_evenings_are_told_instead(lawn):
    told = said(lawn, user="home")
    assert [each.partition(":")[0] for each in told] == ["petrol", "rotary mower"]
