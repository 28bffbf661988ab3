"""Turn a charted number and its unit into an exact position, and back for display.

Takes int or Decimal with a UCUM unit. Gives quantities and limits whose positions compare as the true values do.
Never uses a float, never rounds a value that decides, never guesses a unit.

Every accepted unit at its accepted decimals falls on the tick of its dimension: temperature 1/900 Cel, mass 10 pg,
length 0.1 um, all others 1/100. Factors as in UCUM 2.1: [lb_av] 453.59237 g, [oz_av] a sixteenth of it,
[in_i] 2.54 cm, [degF] 5/9 Cel above 32.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_FLOOR, ROUND_HALF_EVEN, Context, Decimal, Inexact, InvalidOperation, Overflow, Underflow
from fractions import Fraction
from types import MappingProxyType
from typing import Literal, cast

from cds.values import Limit, Quantity, Span

Number = int | Decimal
Why = Literal["kind", "unit", "digits", "negative", "large", "pounds", "off-grid"]

POUNDS_OUNCES = "[lb_av] [oz_av]"
"""The unit of a weight charted in whole pounds with ounces."""

POUNDS_UNIT = ("[lb_av]", "[oz_av]")
"""The two units as sent with it."""

MOST_CHARACTERS = 48
"""Longest number text that is read at all: 38 digits of a database decimal, with sign, point and exponent."""


class QuantityRefused(ValueError):
    """A number or unit that cannot become an exact quantity; `why` names the fault."""

    def __init__(self, why: Why) -> None:
        self.why = why
        super().__init__(why)


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit of one dimension: ticks = value x `factor` - `offset`.

    `places` is the accepted number of decimals, `bound` what a value must stay under, `words` how a reader sees it.
    """

    dimension: str
    factor: int
    places: int
    bound: int
    words: str
    offset: int = 0


UNITS: Mapping[str, Unit] = MappingProxyType(
    {
        "Cel": Unit("temperature", 900, 2, 10**4, "°C"),
        "[degF]": Unit("temperature", 500, 2, 10**4, "°F", offset=16_000),
        "g": Unit("mass", 10**11, 2, 10**7, "g"),
        "kg": Unit("mass", 10**14, 4, 10**4, "kg"),
        "[lb_av]": Unit("mass", 45_359_237 * 10**6, 3, 10**4, "lb"),
        "[oz_av]": Unit("mass", 2_834_952_312_500, 2, 10**4, "oz"),
        "cm": Unit("length", 10**5, 3, 10**4, "cm"),
        "mm": Unit("length", 10**4, 3, 10**5, "mm"),
        "[in_i]": Unit("length", 254_000, 3, 10**4, "in"),
        "/min": Unit("rate", 100, 2, 10**5, "/min"),
        "%": Unit("percent", 100, 2, 10**5, "%"),
        "s": Unit("seconds", 100, 2, 10**6, "s"),
        "mm[Hg]": Unit("pressure", 100, 2, 10**5, "mmHg"),
        "count": Unit("count", 100, 2, 10**5, ""),
        "L/min": Unit("flow", 100, 2, 10**5, "L/min"),
        "wk": Unit("weeks", 100, 2, 10**5, "weeks"),
        "{score}": Unit("score", 100, 2, 10**5, ""),
        "h": Unit("hours", 100, 2, 10**6, "h"),
        "{z}": Unit("z", 100, 2, 10**5, "z"),
        "{space}": Unit("spaces", 100, 2, 10**5, "centile spaces"),
        "g/d": Unit("gain", 100, 2, 10**6, "g/day"),
        "cm/mo": Unit("growth", 100, 2, 10**5, "cm/month"),
    }
)
BELOW_ZERO = frozenset({"temperature"})
"""Dimensions in which a charted value may be less than zero."""

_EXACT = Context(prec=120, traps=[Inexact, InvalidOperation, Overflow, Underflow])
_DEBRIS_DECIMALS = 9
_DEBRIS_WITHIN = Decimal("1e-9")
_SHORT = _DEBRIS_DECIMALS + 2
_STEPS = {places: Decimal(1).scaleb(-places) for places in {unit.places for unit in UNITS.values()}}


def quantity(dimension: str, value: Number | list[object], unit: str | list[object]) -> Quantity:
    """The exact quantity of a charted value.

    Args:
        dimension: one of those in `UNITS`.
        value: int or Decimal; for pounds with ounces a list of two.
        unit: a UCUM code of that dimension; for pounds with ounces `["[lb_av]", "[oz_av]"]`.

    Raises:
        QuantityRefused: not a number, a unit of another dimension, too many digits, too large, less than zero.
    """
    return measure(dimension, value, unit)[0]


def measure(dimension: str, value: object, unit: object) -> tuple[Quantity, bool]:
    """As `quantity`, and whether the text was binary-float debris, decided as the nearest step of its unit."""
    if isinstance(value, list):
        return _pounds_ounces(dimension, value, unit)
    known = UNITS.get(unit) if isinstance(unit, str) else None
    if known is None or known.dimension != dimension:
        raise QuantityRefused("unit")
    number, text = _checked(value, known)
    if number < 0 and dimension not in BELOW_ZERO:
        raise QuantityRefused("negative")
    decided, is_debris = _decided(number, text, known)
    return Quantity(text, cast(str, unit), dimension, _position(decided, known)), is_debris


def limit(value: Number, unit: str) -> Limit:
    """A limit in its written unit, on the grid of its dimension.

    Raises:
        QuantityRefused: unit not known, more decimals than the tick holds, too large.
    """
    known = UNITS.get(unit)
    if known is None:
        raise QuantityRefused("unit")
    number, _ = _checked(value, known)
    position = _position(number, known)
    if position % 2:
        raise QuantityRefused("off-grid")
    return Limit(Decimal(number), unit, position)


def shown(position: int, unit: str, is_difference: bool = False) -> Decimal | None:
    """A position in a unit of its dimension, where that is exact at the unit's accepted decimals; else None.

    A difference has no offset: 1.8 [degF] are 1 Cel.
    """
    known = UNITS.get(unit)
    if known is None or position % 2:
        return None
    ticks = position // 2 + (0 if is_difference else known.offset)
    value = Fraction(ticks * 10**known.places, known.factor)
    if value.denominator != 1:
        return None
    return _shortened(Decimal(value.numerator).scaleb(-known.places, _EXACT))


def difference(first: Quantity, second: Quantity) -> Span:
    """The positions that `first` minus `second` could have: one, or three where both lie between ticks.

    Raises:
        QuantityRefused: the two differ in dimension.
    """
    if first.dimension != second.dimension:
        raise QuantityRefused("unit")
    apart = first.position - second.position
    slack = first.position % 2 and second.position % 2
    return Span(apart - slack, apart + slack)


def written(charted: Quantity) -> str:
    """A quantity as a reader sees it: "36.9 °C", "6 lb 11 oz", "46 /min"."""
    if charted.unit == POUNDS_OUNCES:
        return charted.text
    return counted(charted.text, charted.unit)


def counted(number: object, unit: str) -> str:
    """A number with its unit as a reader sees it: "60 /min", "-2 z", "6"."""
    return f"{number} {UNITS[unit].words}".rstrip()


def _checked(value: object, unit: Unit) -> tuple[Number, str]:
    # Digits come first: nothing is computed with a number whose exponent is absurd.
    if type(value) is int:
        if not -unit.bound < value < unit.bound:
            raise QuantityRefused("large")
        return value, str(value)
    if type(value) is not Decimal or not value.is_finite():
        raise QuantityRefused("kind")
    text = str(value)
    if len(text) > _SHORT or "E" in text:
        text = _plain(value, text)
    if not -unit.bound < value < unit.bound:
        raise QuantityRefused("large")
    return value, text


def _plain(value: Decimal, text: str) -> str:
    if len(text) > MOST_CHARACTERS or not -MOST_CHARACTERS < value.adjusted() < MOST_CHARACTERS:
        raise QuantityRefused("digits")
    plain = format(value, "f")
    if len(plain) > 2 * MOST_CHARACTERS:
        raise QuantityRefused("digits")
    return plain


def _decided(number: Number, text: str, unit: Unit) -> tuple[Number, bool]:
    if len(text) <= _SHORT or isinstance(number, int):
        return number, False
    if len(text.partition(".")[2]) <= _DEBRIS_DECIMALS:
        return number, False
    step = number.quantize(_STEPS[unit.places], ROUND_HALF_EVEN, Context(prec=120))
    gap = _EXACT.abs(_EXACT.subtract(number, step))
    return (step, True) if 0 < gap <= _DEBRIS_WITHIN else (number, False)


def _position(number: Number, unit: Unit) -> int:
    if isinstance(number, int):
        return 2 * (number * unit.factor - unit.offset)
    ticks = _EXACT.multiply(number, Decimal(unit.factor))
    whole = ticks.to_integral_value(ROUND_FLOOR)
    return 2 * (int(whole) - unit.offset) + (ticks != whole)


def _shortened(value: Decimal) -> Decimal:
    text = format(value, "f")
    return Decimal(text.rstrip("0").rstrip(".")) if "." in text else value


def _pounds_ounces(dimension: str, value: list[object], unit: object) -> tuple[Quantity, bool]:
    if unit != list(POUNDS_UNIT) or dimension != "mass":
        raise QuantityRefused("unit")
    if len(value) != 2 or type(value[0]) is not int or value[0] < 0:
        raise QuantityRefused("pounds")
    pounds, _ = measure("mass", value[0], "[lb_av]")
    ounces, is_debris = measure("mass", value[1], "[oz_av]")
    if ounces.position >= limit(1, "[lb_av]").position:
        raise QuantityRefused("pounds")
    text = f"{pounds.text} lb {ounces.text} oz"
    # Whole pounds are on the grid, so a sum between two ticks comes from the ounces alone.
    return Quantity(text, POUNDS_OUNCES, "mass", pounds.position + ounces.position), is_debris
