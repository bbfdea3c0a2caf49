"""Steam and air: why altitude and trapped air matter. For explanation only; no process comes from here.

Saturation temperature: IAPWS-IF97, region 4, backward equation (Revised Release on the IAPWS Industrial Formulation
1997 for the Thermodynamic Properties of Water and Steam, equation 31, table 34); valid 611.213 Pa to 22.064 MPa.
Air pressure: ICAO standard atmosphere, troposphere (ICAO Doc 7488), geometric height -5,000 m to 11,000 m.
"""

from __future__ import annotations

import math

__all__ = ["atmosphere_pa", "boiling_f", "canner_f", "saturation_k"]

_N = (
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849,
    0.65017534844798e3,
)
_PA_PER_PSI = 6894.757293168
_M_PER_FT = 0.3048
_EARTH_RADIUS_M = 6_356_766.0
_SEA_LEVEL_PA, _SEA_LEVEL_K, _LAPSE_K_PER_M = 101_325.0, 288.15, 0.0065
_EXPONENT = 9.80665 / (287.05287 * _LAPSE_K_PER_M)


def saturation_k(pressure_pa: float) -> float:
    """Return the boiling temperature of water in kelvin at an absolute pressure.

    Raises:
        ValueError: the pressure is outside the equation's range.
    """
    if not 611.213 <= pressure_pa <= 22.064e6:
        raise ValueError("That pressure is outside the steam equation.")
    b = math.sqrt(math.sqrt(pressure_pa / 1e6))
    e = b * b + _N[2] * b + _N[5]
    f = _N[0] * b * b + _N[3] * b + _N[6]
    g = _N[1] * b * b + _N[4] * b + _N[7]
    d = 2 * g / (-f - math.sqrt(f * f - 4 * e * g))
    return (_N[9] + d - math.sqrt((_N[9] + d) ** 2 - 4 * (_N[8] + _N[9] * d))) / 2


def atmosphere_pa(altitude_ft: float) -> float:
    """Return the standard air pressure at a geometric altitude.

    Raises:
        ValueError: the altitude is outside the troposphere.
    """
    height_m = altitude_ft * _M_PER_FT
    if not -5_000 <= height_m <= 11_000:
        raise ValueError("That altitude is outside the standard lower atmosphere.")
    geopotential_m = _EARTH_RADIUS_M * height_m / (_EARTH_RADIUS_M + height_m)
    return _SEA_LEVEL_PA * float((1 - _LAPSE_K_PER_M * geopotential_m / _SEA_LEVEL_K) ** _EXPONENT)


def canner_f(psi: float, altitude_ft: float, air_fraction: float = 0.0) -> float:
    """Return the steam temperature in the canner at a gauge pressure; trapped air lowers it."""
    total_pa = atmosphere_pa(altitude_ft) + psi * _PA_PER_PSI
    return _fahrenheit(saturation_k(total_pa * (1 - air_fraction)))


def boiling_f(altitude_ft: float) -> float:
    """Return the temperature of boiling water at an altitude."""
    return canner_f(0, altitude_ft)


def _fahrenheit(kelvin: float) -> float:
    return (kelvin - 273.15) * 9 / 5 + 32
