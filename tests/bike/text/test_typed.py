"""What is typed into a number field: one value in the field's unit, or a refusal; never a third thing."""

from __future__ import annotations

from functools import partial

import pytest

from gearplan.bike.checks import check_value
from gearplan.bike.text.numbertext import NumberTextError, odometer_text
from gearplan.bike.text.typed import read_typed

TAKEN = [
    ("service.axle_nm", "N·m", "85 lbf-ft", 115.245), ("service.axle_nm", "N·m", "8.7 kgf·m", 85.3179),
    ("service.axle_nm", "N·m", "8,7kgf.m", 85.3179), ("service.axle_nm", "N·m", "85 Nm", 85),
    ("engine.peak_power_kw", "kW", "150 hp", 111.855), ("engine.peak_power_kw", "kW", "150 PS", 110.325),
    ("engine.idle_rpm", "rpm", "1300 1/min", 1300), ("engine.idle_rpm", "rpm", "1300 min⁻¹", 1300),
    ("chassis.slack_mm", "mm", "1.2 in", 30.48), ("chassis.slack_mm", "mm", '1.2"', 30.48),
    ("chassis.wheelbase_mm", "mm", "1.415 m", 1415), ("chassis.wheelbase_mm", "mm", "4.5 ft", 1371.6),
    ("load.bike_kg", "kg", "410 lb", 185.973), ("conditions.temperature_c", "°C", "-40 °F", -40),
    ("conditions.pressure_hpa", "hPa", "14.7 psi", 1013.53), ("conditions.pressure_hpa", "hPa", "1.013 bar", 1013),
    ("conditions.altitude_m", "m", "1200 ft", 365.76), ("final_drive.chain_mass_kg_per_m", "kg/m", "1520 g/m", 1.52),
    ("final_drive.chain_tensile_kn", "kN", "8,100 lbs", None),
    ("final_drive.chain_tensile_kn", "kN", "8100 lbs", 36.0306),
    ("engine.efficiency", "share", "93 %", 0.93), ("limits.chain_elongation_percent", "%", "1,5 %", 1.5),
    ("chassis.swingarm_angle_deg", "°", "8.5 degrees", 8.5),
]  # fmt: skip


@pytest.mark.parametrize(("place", "unit", "text", "value"), TAKEN)
def test_units_of_the_quantity(place: str, unit: str, text: str, value: float | None) -> None:
    check = partial(check_value, *place.split("."))
    if value is None:
        with pytest.raises(NumberTextError, match="thousands separator"):
            read_typed(text, unit, check=check)
        return
    assert read_typed(text, unit, check=check).value == pytest.approx(value, rel=1e-5)


def test_an_odometer_read_in_miles_is_told_in_miles_again() -> None:
    for miles in (0, 1, 11588, 99999):
        km = read_typed(f"{miles} mi", "km").value
        assert odometer_text(km) == (f"{miles} mi" if miles else "0")
    assert odometer_text(read_typed("18649.1", "km").value) == "18649"


@pytest.mark.parametrize(
    ("text", "unit", "place", "told"),
    [
        ("85 lbf", "N·m", "service.axle_nm", "“lbf” is not a unit of torque; write N·m, lbf·ft, kgf·m,"),
        ("85 km/h", "N·m", "service.axle_nm", "“km/h” is not a unit of torque"),
        ("18,650", "km", "service.chain_due_km", "“18,650” can be read in two ways; write 18650 or 18.65"),
        ("1.125", "m", "conditions.altitude_m", "write 1125 or 1.1250"),
        ("1,955", "mm", "chassis.wheelbase_mm", "for 1955 leave out the thousands separator"),
        ("1 955", "mm", "chassis.wheelbase_mm", "can be read in two ways"),
        ("1'955", "mm", "chassis.wheelbase_mm", "can be read in two ways"),
        ("1,955.5", "mm", "chassis.wheelbase_mm", "can be read in two ways"),
        ("44", "mm", "tyre.rolling_circumference_mm", "44 mm can't be right; expected 600–3500 mm"),
        ("99", "°C", "conditions.temperature_c", "99 °C can't be right; expected −50 to 60 °C"),
        ("8o", "N·m", "service.axle_nm", "“8o” is not a number; write it like 80"),
        ("fast", "rpm", "engine.idle_rpm", "“fast” is not a number; write it like 12.5 or 12,5"),
        ("12 in", "km", "service.chain_due_km", "“in” is not a unit of mileage; write km or mi"),
        ("12 m", "km", "service.chain_due_km", "“m” is not a unit of mileage; write km or mi"),
        ("1 5", "mm", "chassis.slack_mm", "is not a number"),
        ("5 mm 3", "mm", "chassis.slack_mm", "“mm 3” is not a unit of length"),
    ],
)
def test_refusals_say_what_would_be_right(text: str, unit: str, place: str, told: str) -> None:
    with pytest.raises(NumberTextError) as refused:
        read_typed(text, unit, check=partial(check_value, *place.split(".")))
    assert told in str(refused.value)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("1l4", "“1l4” is not a whole number; write it like 114"),
        ("many", "“many” is not a whole number; write it like 12"),
        ("114.5", "must be a whole number"),
        ("114 mm", "“mm” does not belong here; write the number alone"),
    ],
)
def test_whole_numbers(text: str, told: str) -> None:
    assert read_typed("114 links", "links", whole=True).value == 114
    with pytest.raises(NumberTextError) as refused:
        read_typed(text, "links", whole=True, check=partial(check_value, "final_drive", "links"))
    assert told in str(refused.value)
    assert "12.5" not in str(refused.value)


def test_another_unit_is_told_in_the_field_s_own() -> None:
    assert read_typed("85 lbf·ft", "N·m").told == "115 N·m"
    assert read_typed("11589 mi", "km").told == "18651 km"
    assert read_typed("85 N·m", "N·m").told == ""


@pytest.mark.parametrize(
    ("text", "unit", "told"),
    [
        ("85 lbf·ft", "N·m", "115 N·m"),
        ("85.0 lbf·ft", "N·m", "115 N·m"),
        ("5000 mi", "km", "8047 km"),
        ("1.18 in", "mm", "30.0 mm"),
        ("0.690 in", "mm", "17.5 mm"),
        ("150 hp", "kW", "112 kW"),
        ("0.01 in", "mm", "0.3 mm"),
    ],
)
def test_a_conversion_tells_no_more_digits_than_were_written(text: str, unit: str, told: str) -> None:
    assert read_typed(text, unit).told == told
