"""How timber moves: its balance with the air, and what that does across the grain.

Source: Wood Handbook, USDA Forest Products Laboratory, FPL-GTR-190 (2010), chapters 4 and 13.
"""

from __future__ import annotations

from fractions import Fraction

from setupsheets.lengths import Length
from setupsheets.shop.jobs import Air

DRIEST, DAMPEST = Fraction(6), Fraction(14)  # % of moisture: where the coefficients hold


def equilibrium_moisture(air: Air) -> float:
    """Moisture content, in %, that timber comes to in this air.

    Wood Handbook, equation 4-5, with its coefficients for degrees Celsius. Raises ValueError for a
    humidity that is not from 0 to 100 % or a temperature outside -40 to 130 C.
    """
    if not 0 <= air.humidity <= 100 or not -40 <= air.celsius <= 130:
        raise ValueError("expected -40 to 130 degrees Celsius and 0 to 100 % relative humidity")
    t, h = float(air.celsius), float(air.humidity) / 100
    w = 349 + 1.29 * t + 0.0135 * t**2
    k = 0.805 + 0.000736 * t - 0.00000273 * t**2
    k1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    k2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    kh = k * h
    bound = (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2)
    return 1800 / w * (kh / (1 - kh) + bound)


def moisture_range_holds(*moistures: Fraction) -> bool:
    """Whether the movement coefficients hold: from 6 to 14 %, table 13-5."""
    return all(DRIEST <= moisture <= DAMPEST for moisture in moistures)


def movement(size: Length, coefficient: Fraction, start: Fraction, end: Fraction) -> Length:
    """Change of a size across the grain from one moisture content to another, in %.

    Wood Handbook, equation 13-2: size x coefficient x (end - start); positive where it grows.
    """
    return size * coefficient * (end - start)
