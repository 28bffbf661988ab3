"""Whether each threshold limits something that can be charted, in every band of one scheme, at exact values."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from types import MappingProxyType

from cds.entry.catalogue import CATALOGUE
from cds.entry.units import QuantityRefused
from cds.errors import Problem
from cds.rules.amounts import limit
from cds.rules.derived import DERIVED
from cds.rules.names import Names
from cds.rules.phrase import both, quoted
from cds.rules.spot import Spot, unlisted, unlisted_key
from cds.rules.vocabulary import SCORE_UNIT

_VALUES = frozenset(code for code, kind in CATALOGUE.items() if not kind.is_sign)
_COMPUTED = frozenset(name for name, kind in DERIVED.items() if kind.units)
_WHY = MappingProxyType(
    {
        "off-grid": "more decimals than `{}` is charted with",
        "digits": "more digits than `{}` is charted with",
        "large": "more than `{}` can be",
    }
)


def check_threshold(threshold: Spot, names: Names) -> Iterator[Problem]:
    """Problems of one file of thresholds/: RS-210 to RS-214, RS-232, RS-233, RS-305 to RS-307, RS-309, RS-312."""
    yield from check_file_name(threshold, "threshold")
    yield from unlisted(threshold.down("quantity"), "quantity", _VALUES | _COMPUTED | set(names.scores))
    units = units_of(threshold.data["quantity"], names)
    if units:
        yield from unlisted(threshold.down("unit"), "unit", units, threshold.data["quantity"])
    yield from _scheme(threshold, names)
    for band in threshold.each("bands"):
        if "source" in band.data:
            yield from unlisted(band.down("source", "ref"), "source", names.sources)
        if threshold.data["unit"] in units:
            yield from _values(band, threshold.data["unit"])


def check_file_name(spot: Spot, key: str) -> Iterator[Problem]:
    """A file is named as what it defines."""
    name = spot.sheet.name.rpartition("/")[2]
    if name.endswith(".yaml") and name != f"{spot.data[key]}.yaml":
        found = f"`{spot.data[key]}` in the file `{name}`"
        next_step = f"rename the file to `{spot.data[key]}.yaml`, or correct the id"
        yield spot.down(key).says("RS-210", found, f"`{name.removesuffix('.yaml')}`, as the file is named", next_step)


def units_of(quantity: str, names: Names) -> tuple[str, ...]:
    """Units in which a quantity may be limited; none for one that is not known."""
    if quantity in CATALOGUE:
        return CATALOGUE[quantity].units
    if quantity in DERIVED:
        return DERIVED[quantity].units
    return (SCORE_UNIT,) if quantity in names.scores else ()


def check_value(spot: Spot, unit: str) -> Iterator[Problem]:
    """A number stands exactly where it says."""
    try:
        limit(spot.data, unit)
    except QuantityRefused as refused:
        found = f"{quoted(spot.data)}, {_WHY[refused.why].format(unit)}"
        yield spot.says("RS-309", found, f"a value that can be charted in `{unit}`", "correct the value")


def _values(band: Spot, unit: str) -> Iterator[Problem]:
    if "value" not in band.data:
        return
    problems = list(check_value(band.down("value"), unit))
    if "site_may_set" in band.data:
        may = band.down("site_may_set")
        problems += [*check_value(may.down("from"), unit), *check_value(may.down("to"), unit)]
        problems += _bounds(may, band.data["value"])
    yield from problems


def _bounds(may: Spot, value: int | Decimal) -> Iterator[Problem]:
    start, end = may.data["from"], may.data["to"]
    outer = start if may.data["towards"] == "lower" else end
    if not (start <= value <= end) or value == outer:
        found = f"{quoted(start)} to {quoted(end)} towards {may.data['towards']}, for the value {quoted(value)}"
        expected = "bounds that hold the value and leave room in that direction"
        yield may.says("RS-312", found, expected, "correct the bounds, or remove them to lock the value")


def _scheme(threshold: Spot, names: Names) -> Iterator[Problem]:
    listed = [band.name for band in threshold.each("bands")]
    for band in threshold.each("bands"):
        yield from unlisted_key(band, "band", names.bands)
    known = [name for name in listed if name in names.bands]
    schemes = list(dict.fromkeys(names.bands[name].scheme for name in known))
    if len(schemes) > 1:
        found = f"bands of the schemes {both(schemes)}"
        yield threshold.down("bands").says(
            "RS-305", found, "bands of one scheme", "write one threshold for each scheme"
        )
    elif schemes and known == listed:
        yield from _tiled(threshold.down("bands"), listed, names.schemes[schemes[0]])


def _tiled(bands: Spot, listed: list[str], scheme: tuple[str, ...]) -> Iterator[Problem]:
    missing = [name for name in scheme if name not in listed]
    if missing:
        found, next_step = f"no band {both(missing)}", "add a value, or `no_limit` with the reason"
        yield bands.says("RS-306", found, f"every band of its scheme: {both(scheme)}", next_step)
    elif tuple(listed) != scheme:
        yield bands.says(
            "RS-307", f"the order {both(listed)}", f"the order of age: {both(scheme)}", "reorder the bands"
        )
