"""Depth and practical salinity against published check values."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earwitness.pipeline.place.sea_water import depth_of, practical_salinity, pressure_of

PRESSURES = np.array([10.0, 50.0, 125.0, 250.0, 600.0, 1000.0])


def test_depth_as_in_the_manual_of_teos_10() -> None:
    """Example of gsw_z_from_p in the TEOS-10 toolbox's documentation, latitude 4 (heights there, hence the sign)."""
    heights = -100 * np.array(
        [
            0.099445834469453,
            0.497180897012550,
            1.242726219409978,
            2.484700576548589,
            5.958253480356214,
            9.920919060719987,
        ]
    )
    assert depth_of(PRESSURES, 4.0) == pytest.approx(-heights, abs=1e-6)


def test_depth_near_the_check_value_of_unesco_44() -> None:
    """Fofonoff and Millard (1983): 10,000 dbar at 30 degrees is 9712.653 m by EOS-80; TEOS-10 differs by 1.1 m."""
    assert float(depth_of(10_000.0, 30.0)) == pytest.approx(9712.653, rel=2e-4)


def test_salinity_as_in_the_manual_of_teos_10() -> None:
    """Example of gsw_SP_from_C in the TEOS-10 toolbox's documentation."""
    conductivity = np.array([34.5487, 34.7275, 34.8605, 34.6810, 34.5680, 34.5600])
    temperature = np.array([28.7856, 28.4329, 22.8103, 10.2600, 6.8863, 4.4036])
    expected = [
        20.009869599086951,
        20.265511864874270,
        22.981513062527689,
        31.204503263727982,
        34.032315787432829,
        36.400308494388170,
    ]
    assert practical_salinity(conductivity, temperature, PRESSURES) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(
    ("ratio", "temperature", "pressure", "salinity"),
    [(1.0, 15.0, 0.0, 35.0), (1.2, 20.0, 2000.0, 37.245628), (0.65, 5.0, 1500.0, 27.995347)],
)
def test_salinity_of_unesco_44(ratio: float, temperature: float, pressure: float, salinity: float) -> None:
    """Fofonoff and Millard (1983), p. 9: ratios to 42.914 mS/cm, temperatures of 1968 (over 1.00024: of 1990)."""
    told = practical_salinity(42.914 * ratio, temperature / 1.00024, pressure)
    assert float(told) == pytest.approx(salinity, abs=1e-6)


@given(st.floats(0, 11_000), st.floats(-80, 80))
def test_depth_and_pressure_undo_each_other(depth: float, latitude: float) -> None:
    assert float(depth_of(float(pressure_of(depth, latitude)), latitude)) == pytest.approx(depth, abs=1e-3)
