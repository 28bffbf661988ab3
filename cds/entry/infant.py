"""Read who the infant is: birth or stated age, sex, gestation, birth weight, order among siblings.

Takes the fields of an entry. Gives an Infant, with every fault noted; what was not sent stays None.
"""

from __future__ import annotations

from cds.entry.catalogue import CATALOGUE, SEXES
from cds.entry.fields import Fields, Shape
from cds.entry.model import Infant
from cds.values import Quantity, Span

MOST_AGE_DAYS = 36_525
GESTATION_WEEKS = (16, 46)
MOST_ORDER = 12
WEIGHTS = CATALOGUE["body-weight"].units

SHAPE = Shape(frozenset({"id", "birth", "age", "sex", "gestation", "birth_weight", "order"}))
AGE = Shape(frozenset({"days"}), {"days": "completed days of age"})
GESTATION = Shape(frozenset({"weeks", "days"}), {"weeks": "completed weeks at birth"})
WEIGHT = Shape(frozenset({"value", "unit"}), {"value": "the weight", "unit": "its unit, g, kg or [lb_av]"})


def read_infant(entry: Fields) -> Infant:
    """The infant of an entry."""
    fields = entry.inside("infant", SHAPE)
    if fields is None:
        return Infant()
    if "birth" in fields.data and "age" in fields.data:
        said = ("`birth` and `age`", "one of them", "keep `birth`, which is exact")
        fields.intake.faults.add("EN-106", f"{fields.place}/age", said)
    return Infant(
        id=fields.text("id"),
        birth=fields.moment("birth"),
        age_days=_age_days(fields),
        sex=fields.word("sex", SEXES),
        gestation=_gestation(fields),
        birth_weight=_birth_weight(fields),
        order=fields.whole("order", 1, MOST_ORDER),
    )


def _age_days(infant: Fields) -> int | None:
    fields = infant.inside("age", AGE)
    return fields.whole("days", 0, MOST_AGE_DAYS) if fields else None


def _gestation(infant: Fields) -> Span | None:
    fields = infant.inside("gestation", GESTATION)
    if fields is None:
        return None
    weeks, days = fields.whole("weeks", *GESTATION_WEEKS), fields.whole("days", 0, 6)
    if weeks is None:
        return None
    # Weeks without days are completed weeks: any day of the seven.
    return Span(7 * weeks, 7 * weeks + 6) if days is None else Span(7 * weeks + days, 7 * weeks + days)


def _birth_weight(infant: Fields) -> Quantity | None:
    fields = infant.inside("birth_weight", WEIGHT)
    return fields.quantity("mass", WEIGHTS) if fields else None
