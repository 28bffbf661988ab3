"""The standard codes that the FHIR reader knows by itself: LOINC for what is measured, UCUM for units.

LOINC codes are used under the licence of the Regenstrief Institute. SNOMED CT identifiers stand here one by one as
opaque names of body sites in incoming data: no hierarchy, no descriptions. Everything else, signs above all, is mapped
by a site's own file. Names of codes as LOINC prints them are in docs/fhir.md.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from cds.entry.fhir.meanings import Codes, Coding, Meaning, Place

LOINC = "http://loinc.org"
SNOMED = "http://snomed.info/sct"
UCUM = "http://unitsofmeasure.org"

PRESSURES = frozenset({"systolic-pressure", "diastolic-pressure", "mean-pressure"})

_PLAIN: Mapping[str, tuple[str, ...]] = {
    "respiratory-rate": ("9279-1",),
    "heart-rate": ("8867-4",),
    "oxygen-saturation": ("2708-6", "59408-5"),
    "body-temperature": ("8310-5",),
    "capillary-refill": ("44971-0",),
    "systolic-pressure": ("8480-6",),
    "diastolic-pressure": ("8462-4",),
    "mean-pressure": ("8478-0",),
    "body-weight": ("29463-7", "3141-9"),
    "body-length": ("8302-2", "3137-7"),
    "head-circumference": ("9843-4", "8287-5"),
    "chest-circumference": ("8279-2",),
}

# A pre-ductal reading is taken at the right hand, a post-ductal one at a foot, in both published newborn screens.
_WITH_CONTEXT: Mapping[str, tuple[str, str, str]] = {
    "59407-7": ("oxygen-saturation", "site", "right-hand"),
    "59418-4": ("oxygen-saturation", "site", "foot"),
    "59410-1": ("oxygen-saturation", "oxygen", "room-air"),
    "44963-7": ("capillary-refill", "site", "finger"),
    "8350-1": ("body-weight", "clothing", "clothed"),
    "8351-9": ("body-weight", "clothing", "nude"),
    "8306-3": ("body-length", "position", "lying"),
    "8308-9": ("body-length", "position", "standing"),
    "8328-7": ("body-temperature", "route", "axillary"),
    "8332-9": ("body-temperature", "route", "rectal"),
    "8331-1": ("body-temperature", "route", "oral"),
    "8333-7": ("body-temperature", "route", "tympanic"),
    "76011-6": ("body-temperature", "route", "tympanic"),
    "75539-7": ("body-temperature", "route", "temporal"),
    "61008-9": ("body-temperature", "route", "skin"),
    "8334-5": ("body-temperature", "route", "core"),
    "60836-4": ("body-temperature", "route", "core"),
    "60838-0": ("body-temperature", "route", "core"),
}
_CORE = "8329-5"

GESTATION_CODES = ("76516-4", "11884-4")
BIRTH_WEIGHT_CODES = ("8339-4",)
FLOW_CODE = "3151-8"
INSPIRED_CODE = "3150-0"
PRESSURE_PANEL = "85354-9"

_NOT_OURS: Mapping[str, tuple[str, ...]] = {
    "a panel": ("85353-1", "48332-1"),
    "a body-mass index": ("39156-5",),
    "a percentile": ("77606-2", "8289-1", "8336-0", "59576-9"),
    "a mean over several readings": ("96607-7", "96608-5", "96609-3"),
    "an Apgar score or item": (
        *("9272-6", "9273-4", "9274-2", "9271-8"),
        *("32401-2", "32402-0", "32403-8", "32404-6", "32405-3"),
        *("32406-1", "32407-9", "32408-7", "32409-5", "32410-3"),
        *("32411-1", "32412-9", "32413-7", "32414-5", "32415-2"),
    ),
    "the mother's weight": ("69461-2",),
    "a pressure in the lung's artery": ("76284-9",),
    "a waist": ("8280-0",),
    "the name of a measuring site": ("8327-9",),
    "a length or head at birth": ("89269-5", "8291-7"),
}

_ROUTES: Mapping[str, str] = {
    "422543003": "axillary",
    "91470000": "axillary",
    "34402009": "rectal",
    "74262004": "oral",
    "42859004": "tympanic",
    "117590005": "tympanic",
    "89837001": "core",
    "71836000": "core",
}
# The forehead is left out: a strip there reads skin, a scanner the temporal artery, and the code does not say which.
_RIGHT_ARM = "368209003"


def _observations() -> Iterator[tuple[str, Meaning]]:
    for name, codes in _PLAIN.items():
        yield from ((code, Meaning("observation", name)) for code in codes)
    for code, (name, key, value) in _WITH_CONTEXT.items():
        yield code, Meaning("observation", name, context={key: value})
    yield _CORE, Meaning("observation", "body-temperature", context={"route": "core"}, weak=True)
    yield PRESSURE_PANEL, Meaning("panel", "blood pressure", parts=PRESSURES)
    yield FLOW_CODE, Meaning("context", "flow")
    yield INSPIRED_CODE, Meaning("context", "inspired_oxygen")


def _rest() -> Iterator[tuple[str, Meaning]]:
    yield from ((code, Meaning("infant", "gestation")) for code in GESTATION_CODES)
    yield from ((code, Meaning("infant", "birth_weight")) for code in BIRTH_WEIGHT_CODES)
    for words, codes in _NOT_OURS.items():
        yield from ((code, Meaning("not-ours", words)) for code in codes)


def _places() -> Iterator[tuple[tuple[Coding, str], Place]]:
    for code, route in _ROUTES.items():
        yield ((SNOMED, code), "body-temperature"), Place("route", route)
    for name in sorted(PRESSURES):
        yield ((SNOMED, _RIGHT_ARM), name), Place("site", "right-arm")


LOINC_CODES = tuple(code for code, _ in (*_observations(), *_rest()))
"""Every LOINC code known here, for the check of their check digits."""

STANDARD = Codes(
    observations=MappingProxyType({(LOINC, code): meaning for code, meaning in (*_observations(), *_rest())}),
    places=MappingProxyType(dict(_places())),
    units=MappingProxyType({}),
)
"""What the reader knows without a mapping file."""
