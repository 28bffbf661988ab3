"""Read a mapping file: what the codes of a site's charting system mean in the words of an entry.

Takes a JSON file of the schema `codes`. Gives Codes, the standard ones with those of the file, or a refusal that names
every fault. Never gives a standard code another meaning, never maps by a display or a text.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import TypeVar, cast

from cds.entry.catalogue import CARE, CATALOGUE, LISTED, SEXES, YES_NO
from cds.entry.codes_file import NUMBERS, File, Row, read_file
from cds.entry.fhir.known import LOINC, STANDARD, UCUM
from cds.entry.fhir.meanings import Answers, Codes, Coding, Meaning, Place
from cds.entry.units import UNITS
from cds.errors import Refused

__all__ = ["Codes", "read_codes"]

INFANT_UNITS = ("wk", "d")


def read_codes(path: Path) -> Codes:
    """The standard codes with those of a mapping file.

    Raises:
        Refused: subject `codes`, with every fault (CM-101 to CM-210).
    """
    file = read_file(path)
    codes = Codes(
        observations=_joined(STANDARD.observations, _meanings(file), file),
        places=_joined(STANDARD.places, _places(file), file),
        units=_joined(STANDARD.units, _units(file), file),
        on_patient=_joined({}, _patient_extensions(file), file),
        on_observation=_joined({}, _observation_extensions(file), file),
        id=file.id,
    )
    if file.problems:
        raise Refused("codes", file.problems)
    return codes
