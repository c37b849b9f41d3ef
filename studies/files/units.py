"""Quantities as a maker writes them, and back: strict reading on exact fractions, tidy writing.

Inside the code lengths are mm, forces N, masses kg, angles rad, stresses MPa, moments N mm.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Literal

Units = Literal["metric", "imperial"]

LONGEST_TEXT = 60
WORKSHOP_STEP = 64  # inches are written in sixty-fourths where they fit
WORKSHOP_FIT = 0.05  # mm
CUT_STEP = 32  # inches to saw to are written in thirty-seconds
AS_TYPED = Fraction(1, 10**6)  # mm: what rounding leaves of a length typed in inches

# By definition, in mm, kg, m/s2 and N.
INCH = Fraction("25.4")
POUND = Fraction("0.45359237")
STANDARD_GRAVITY = Fraction("9.80665")
NEWTON_PER_POUND = POUND * STANDARD_GRAVITY
MM_PER_INCH, N_PER_LBF = float(INCH), float(NEWTON_PER_POUND)
MPA_PER_PSI = N_PER_LBF / MM_PER_INCH**2

ALSO_WRITTEN: Mapping[str, str] = {
    **dict.fromkeys(("inch", "inches", "in.", "ins", "ins."), "in"),
    **dict.fromkeys(("foot", "feet", "ft."), "ft"),
    **dict.fromkeys(("mm.", "millimetre", "millimetres", "millimeter", "millimeters"), "mm"),
    **dict.fromkeys(("cm.", "centimetre", "centimetres", "centimeter", "centimeters"), "cm"),
    **dict.fromkeys(("metre", "metres", "meter", "meters"), "m"),
    **dict.fromkeys(("lbs", "lb.", "lbs.", "pound", "pounds"), "lb"),
    **dict.fromkeys(("kgs", "kg.", "kilo", "kilos", "kilogram", "kilograms"), "kg"),
    **dict.fromkeys(("newton", "newtons"), "N"),
    **dict.fromkeys(("degree", "degrees", "\u00b0"), "deg"),
    **dict.fromkeys(("percent", "per cent"), "%"),
}
"""Units as makers write them beside the short form that tables and answers use."""
AS_A_FORCE: Mapping[str, str] = {"lb": "lbf"}
"""A weight that a force is given by, where pounds can mean nothing else."""
FRACTION_SLASH = "\u2044"
ONE_FRACTION = re.compile(rf"[0-9]+{FRACTION_SLASH}[0-9]+")  # what a fraction in one letter stands for

NUMBER = re.compile(
    r"(?P<sign>[+-]?)"
    r"(?:(?:(?P<whole>\d+)(?:[ \t]+|-))?(?P<top>\d+)/(?P<bottom>\d+)|(?P<decimal>\d+(?:\.\d+)?|\.\d+))"
    r"(?P<rest>.*)",
    re.ASCII | re.DOTALL,
)


class UnitError(ValueError):
    """A text that is not the quantity it should be; the message says what would be right."""


@dataclass(frozen=True)
class Quantity:
    """A kind of quantity: ``units`` are in the code's own unit, ``most`` is the largest believable size."""

    name: str
    example: str
    units: Mapping[str, Fraction]
    most: float

    def __hash__(self) -> int:
        return hash(self.name)

    @property
    def right(self) -> str:
        """What would be right, in words."""
        return f"write {self.name} with its unit, such as {self.example} (units: {', '.join(self.units)})"


LENGTH = Quantity(
    "a length",
    '"19 mm" or "3/4 in"',
    {"mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000), "in": INCH, "ft": 12 * INCH, '"': INCH},
    1e6,
)
FORCE = Quantity(
    "a force",
    '"500 N" or "110 lbf"',
    {"N": Fraction(1), "kN": Fraction(1000), "lbf": NEWTON_PER_POUND, "kgf": STANDARD_GRAVITY},
    1e9,
)
IMPERIAL_LENGTHS = ("in", "ft", '"')
MASS = Quantity("a weight", '"5 kg" or "10 lb"', {"kg": Fraction(1), "lb": POUND}, 1e6)
WEIGHT = Quantity(
    "a weight",
    '"5 kg" or "50 N"',
    {"kg": STANDARD_GRAVITY, "lb": NEWTON_PER_POUND, **FORCE.units},
    1e9,
)
SPRING = Quantity(
    "a spring stiffness",
    '"400 N/mm"',
    {"N/mm": Fraction(1), "kN/mm": Fraction(1000), "lbf/in": NEWTON_PER_POUND / INCH},
    1e9,
)
ANGLE = Quantity("an angle", '"45 deg"', {"deg": Fraction(math.pi) / 180}, 100.0)
SHARE = Quantity("a share", '"12 %"', {"%": Fraction(1, 100)}, 100.0)
PERCENT = Quantity("a share", '"12 %"', {"%": Fraction(1)}, 1e4)
DENSITY = Quantity(
    "a density",
    '"720 kg/m3"',
    {"kg/m3": Fraction(1), "g/cm3": Fraction(1000), "lb/ft3": POUND / (12 * INCH / 1000) ** 3},
    1e5,
)
STRESS = Quantity(
    "a stiffness",
    '"12.5 GPa"',
    {
        "MPa": Fraction(1),
        "GPa": Fraction(1000),
        "N/mm2": Fraction(1),
        "psi": NEWTON_PER_POUND / INCH**2,
    },
    1e7,
)


def parse(text: str, quantity: Quantity) -> float:
    """The quantity that ``text`` stands for, in the code's own unit. Raises UnitError.

    >>> parse("12.5 GPa", STRESS)  # MPa
    12500.0
    """
    value, _ = read(text, quantity)
    return value


def parse_length(text: str) -> float:
    """A length in mm. Raises UnitError.

    >>> parse_length("19 mm"), parse_length("3/4 in"), parse_length("1-1/2 in")  # mm
    (19.0, 19.05, 38.1)
    """
    return parse(text, LENGTH)


def parse_mass(text: str) -> float:
    """A mass in kg. Raises UnitError.

    >>> parse_mass("5 kg"), round(parse_mass("10 lb"), 3)  # kg
    (5.0, 4.536)
    """
    return parse(text, MASS)


def parse_weight(text: str) -> float:
    """The force in N of a weight given in kg, lb or as a force. Raises UnitError.

    >>> round(parse_weight("5 kg"), 2), parse_weight("50 N")  # N
    (49.03, 50.0)
    """
    return parse(text, WEIGHT)


def parse_share(text: str) -> float:
    """A share as a fraction of one, from percent. Raises UnitError.

    >>> parse_share("12 %")
    0.12
    """
    return parse(text, SHARE)


def read(text: str, quantity: Quantity) -> tuple[float, str]:
    """The quantity in the code's own unit, and the unit it was written in. Raises UnitError."""
    return (_read if isinstance(text, str) else _read.__wrapped__)(text, quantity)


@lru_cache(1024)  # the points of a sweep say the same few things over and over
def _read(text: str, quantity: Quantity) -> tuple[float, str]:
    number, unit = read_exact(text, quantity)
    return float(number * quantity.units[unit]), unit


def read_exact(text: str, quantity: Quantity) -> tuple[Fraction, str]:
    """The number as it was written, without rounding, and the unit it was written in. Raises UnitError."""
    plain = _checked(text, quantity)
    match = NUMBER.fullmatch(plain)
    if match is None:
        raise UnitError(_not_a_number(plain, quantity))
    number = _number(match, quantity)
    unit = _unit(plain, match["rest"], quantity)
    if abs(number * quantity.units[unit]) > quantity.most:
        raise UnitError(f"is too large to be meant; {quantity.right}")
    return number, unit


def _checked(text: str, quantity: Quantity) -> str:
    if not isinstance(text, str):
        raise UnitError(quantity.right)
    if len(text) > LONGEST_TEXT:
        raise UnitError(f"is {len(text)} characters long; {quantity.right}")
    plain = _spelled(text).strip(" \t")
    if not plain:
        raise UnitError(f"is empty; {quantity.right}")
    for character in plain:
        if character in "\u2033\u201c\u201d\u2032\u2019":
            raise UnitError(f"has a curly or slanted mark; {quantity.right}")
        if not " " <= character <= "~" and character != "\t":
            code = f"U+{ord(character):04X}"
            raise UnitError(f"holds a character that is not plain text ({code}); {quantity.right}")
    return plain


def _spelled(text: str) -> str:
    """Fractions in one letter as numbers of their own, the sign of degrees in letters; all else as it is."""
    spelled = ""
    for letter in text:
        alike = letter if letter.isascii() else unicodedata.normalize("NFKC", letter)
        if ONE_FRACTION.fullmatch(alike):
            apart = " " if spelled[-1:].isdigit() else ""
            spelled += f"{apart}{alike.replace(FRACTION_SLASH, '/')} "
        else:
            spelled += " deg" if letter == "\u00b0" else letter
    return spelled


def _number(match: re.Match[str], quantity: Quantity) -> Fraction:
    if match["decimal"] is not None:
        number = Fraction(match["decimal"])
    else:
        top, bottom = int(match["top"]), int(match["bottom"])
        if bottom == 0:
            raise UnitError(f"divides by zero; {quantity.right}")
        number = Fraction(top, bottom)
        if match["whole"] is not None:
            if number >= 1:
                raise UnitError(f"has a whole number beside a fraction of one or more; {quantity.right}")
            number += int(match["whole"])
    return -number if match["sign"] == "-" else number


def _unit(plain: str, rest: str, quantity: Quantity) -> str:
    typed = rest.strip(" \t")
    if not typed:
        raise UnitError(f"has no unit: is it {with_units(plain, quantity)}? {quantity.right}")
    if typed in quantity.units:
        return typed
    meant = ALSO_WRITTEN.get(" ".join(typed.casefold().split()), typed.casefold())
    meant = AS_A_FORCE.get(meant, meant) if meant not in quantity.units else meant
    if meant in quantity.units:
        return meant
    folded = {unit.casefold(): unit for unit in quantity.units}
    if typed.casefold() in folded:
        return folded[typed.casefold()]
    if typed[0] == ",":
        raise UnitError(f"has a comma; write decimals with a point; {quantity.right}")
    if typed[0] in "0123456789./+-*eE" and any(sign.isdigit() for sign in typed):
        raise UnitError(f"is not a plain number or a workshop fraction; {quantity.right}")
    from glueline.materials.names import nearest  # slow to load, and only a slip needs it

    near = nearest(typed, quantity.units)
    hint = f" (did you mean {near}?)" if near else ""
    raise UnitError(f"has {typed!r} where its unit should be{hint}; {quantity.right}")


def with_units(number: str, quantity: Quantity) -> str:
    """A number that has no unit with those it may have been meant in: fractions are of inches.

    >>> with_units("4 1/2", LENGTH), with_units("19", LENGTH)
    ('"4 1/2 in"', '"19 mm" or "19 in"')
    """
    units = [next(iter(quantity.units))]
    if "in" in quantity.units:
        units = ["in"] if "/" in number else [*units, "in"]
    return " or ".join(f'"{number} {unit}"' for unit in units)


def _not_a_number(plain: str, quantity: Quantity) -> str:
    word = plain.casefold().lstrip("+-")
    if word.startswith(("nan", "inf")):
        return f"is not a number that can be measured; {quantity.right}"
    return f"does not begin with a number; {quantity.right}"


def format_length(mm: float, units: Units) -> str:
    """A length given in mm: ``19 mm``, or inches: workshop fractions to 1/64 that fit within 0.05 mm.

    >>> format_length(19.05, "metric"), format_length(19.05, "imperial")
    ('19.05 mm', '3/4 in')
    """
    if units == "metric":
        return f"{significant(mm, 4)} mm"
    if not abs(mm) < 1e12:
        return f"{significant(mm / MM_PER_INCH, 4)} in"
    steps = round(abs(mm) / MM_PER_INCH * WORKSHOP_STEP)
    fits = abs(abs(mm) - steps * MM_PER_INCH / WORKSHOP_STEP) <= WORKSHOP_FIT + 1e-12
    if not fits or (steps == 0 and mm != 0):
        inches = mm / MM_PER_INCH
        digits = 3 if abs(inches) < 1 else 4 + math.floor(math.log10(abs(inches)))
        return f"{significant(inches, digits)} in"
    return f"{'-' if mm < 0 and steps else ''}{_mixed_number(Fraction(steps, WORKSHOP_STEP))} in"


def format_cut(mm: float, units: Units) -> str:
    """A length to saw to, given in mm and not below 0: ``90 mm`` or ``3 17/32 in``.

    Inches to the nearest 1/32, a half one up; but a 1/64 that is meant as one stays, and so does a length
    that would round to nothing.

    >>> format_cut(90.0, "metric"), format_cut(90.0, "imperial")
    ('90 mm', '3 17/32 in')
    """
    if units == "metric":
        return format_length(mm, units)
    inches = Fraction(mm) / INCH
    fine = Fraction(round(inches * WORKSHOP_STEP), WORKSHOP_STEP)
    coarse = Fraction(math.floor(inches * CUT_STEP + Fraction(1, 2)), CUT_STEP)
    meant = abs(fine - inches) * INCH < AS_TYPED
    shown = fine if meant else coarse
    return f"{_mixed_number(shown)} in" if shown or not mm else format_length(mm, units)


def _mixed_number(number: Fraction) -> str:
    """A fraction not below 0 as a maker writes it: ``3 17/32``."""
    whole, part = divmod(number, 1)
    words = [str(whole)] if whole or not part else []
    if part:
        words.append(f"{part.numerator}/{part.denominator}")
    return " ".join(words)


def format_limit(mm: float, units: Units, side: Literal["least", "most"]) -> str:
    """A limit given in mm, rounded to its allowed side, so that it can be typed as it is shown.

    To a tenth of a mm, or to a workshop fraction of an inch.

    >>> format_limit(25.87, "metric", "most"), format_limit(25.87, "metric", "least")
    ('25.8 mm', '25.9 mm')
    """
    step = 0.1 if units == "metric" else MM_PER_INCH / WORKSHOP_STEP
    steps = math.floor(mm / step + 1e-6) if side == "most" else math.ceil(mm / step - 1e-6)
    return format_length(steps / 10 if units == "metric" else steps * step, units)


def format_force(newtons: float, units: Units) -> str:
    """A force given in N: ``1234 N`` or ``277.4 lbf``.

    >>> format_force(1234.0, "metric"), format_force(1234.0, "imperial")
    ('1234 N', '277.4 lbf')
    """
    if units == "metric":
        return f"{significant(newtons, 4)} N"
    return f"{significant(newtons / N_PER_LBF, 4)} lbf"


def format_stress(megapascals: float, units: Units) -> str:
    """A stress given in MPa: ``9.8 MPa`` or ``1421 psi``.

    >>> format_stress(9.8, "metric"), format_stress(9.8, "imperial")
    ('9.8 MPa', '1421 psi')
    """
    if units == "metric":
        return f"{significant(megapascals, 3)} MPa"
    return f"{significant(megapascals / MPA_PER_PSI, 3)} psi"


def format_moment(newton_mm: float, units: Units) -> str:
    """A moment given in N mm: ``106.1 N·m`` or ``78.22 lbf·ft``.

    >>> format_moment(106_100.0, "metric"), format_moment(106_100.0, "imperial")
    ('106.1 N·m', '78.26 lbf·ft')
    """
    if units == "metric":
        return f"{significant(newton_mm / 1000, 4)} N·m"
    return f"{significant(newton_mm / (N_PER_LBF * 12 * MM_PER_INCH), 4)} lbf·ft"


def format_share(share: float) -> str:
    """A share of one: ``12 %``.

    >>> format_share(0.125)
    '12.5 %'
    """
    return f"{significant(share * 100, 3)} %"


def significant(value: float, digits: int) -> str:
    """``value`` to that many significant digits, never in powers of ten, without trailing zeros.

    Digits before the point are never rounded away.
    """
    if not math.isfinite(value) or value == 0:
        return "0" if value == 0 else str(value)
    size = math.floor(math.log10(abs(value)))
    text = f"{value:.{max(0, min(digits - 1 - size, 300))}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text
