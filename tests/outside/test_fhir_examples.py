"""HL7's published FHIR examples through reader and advice, each beside what a correct reader must do with it.

The files are not part of this repository: CDS_FHIR_EXAMPLES names their folder. They are published under CC0 by HL7
(the packages hl7.fhir.r4.examples 4.0.1 and hl7.fhir.core 3.0.1, US Core, birth and fetal death reporting) and by SMART
Health IT; `expected.json` beside them says for each file what it holds and what must come of it. They are input, not
truth: several hold mistakes, which is their worth.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from cds.adviser import Adviser
from cds.entry.fhir import STANDARD, join, to_entry
from cds.entry.fhir.dates import read_when
from cds.entry.json_text import read_json
from cds.entry.model import Entry
from cds.entry.read import read_entry
from cds.entry.times import read_moment
from cds.entry.units import quantity
from cds.errors import Refused
from cds.rules.load import load as load_rules
from cds.shipped import shipped
from tests.fhir_input import THORNMERE, observation
from tests.needs import find_examples

pytestmark = pytest.mark.fhir_examples

NOW = read_moment("2026-03-21T09:00:00Z")
R4, STU3, US, BFDR = "hl7.fhir.r4.examples-4.0.1", "hl7.fhir.core-3.0.1", "us-core", "bfdr"
PATIENTS = {
    (R4, "Patient/example"): f"{R4}/Patient-example.json",
    (STU3, "Patient/example"): f"{R4}/Patient-example.json",
    (US, "Patient/example"): f"{US}/patient-example.json",
    (US, "Patient/infant-example"): f"{US}/patient-infant-example.json",
    (BFDR, "Patient/patient-child-babyg-quinn"): f"{BFDR}/Patient-patient-child-babyg-quinn.json",
}
SOMEBODY = {R4: f"{R4}/Patient-newborn.json", BFDR: f"{BFDR}/Patient-patient-child-babyg-quinn.json"}
"""An infant of the same folder, for Observations whose own subject is not among the files."""


def rows() -> list[dict[str, Any]]:
    folder = find_examples()
    return json.loads((folder / "expected.json").read_text(encoding="utf-8")) if folder else []


ROWS = {row["file"]: row for row in rows()}
NDJSON = "bulk-10-patients/Patient.000.ndjson"
RESOURCES = [name for name in ROWS if name != NDJSON] or ["none"]


@cache
def read(name: str) -> Any:
    folder = find_examples()
    assert folder is not None
    return read_json((folder / name).read_bytes())


@cache
def adviser() -> Adviser:
    return Adviser(load_rules(shipped("rulesets") / "infant-vitals"))


@dataclass(frozen=True)
class Outcome:
    """One input taken through reader, judge and advice."""

    sent: dict[str, Any]
    entry: Entry
    advice: dict[str, Any]
    verdicts: dict[str, frozenset[str]]

    @property
    def reasons(self) -> list[str]:
        return [remark.reason for remark in self.entry.remarks]

    def observation(self, code: str) -> dict[str, Any]:
        (found,) = [one for one in self.sent["observations"] if one["code"] == code]
        return found


def take(resource: object, codes: Any = STANDARD) -> Outcome:
    sent = to_entry(resource, codes)
    entry = read_entry(sent, NOW)
    answer = adviser().answer(entry, NOW)
    verdicts = {rule: verdict.reasons for rule, verdict in answer.inference.verdicts.items()}
    return Outcome(sent, entry, adviser().advise(entry, NOW), verdicts)


def joined(name: str, codes: Any = STANDARD) -> Outcome:
    """A file with the Patient that it names; alone where it holds or names none of the files."""
    resource = read(name)
    folder, subject = name.partition("/")[0], resource.get("subject", {}).get("reference")
    patient = PATIENTS.get((folder, subject))
    return take(join([read(patient), resource]) if patient else resource, codes)


def beside_another(name: str, codes: Any = STANDARD) -> Outcome:
    """A file in one input with an infant whom it does not name."""
    return take(join([read(SOMEBODY[name.partition("/")[0]]), read(name)]), codes)


# What must come of each file, in words of the code.

Must = Callable[[str, dict[str, Any]], None]


def outside_age(outcome: Outcome) -> None:
    assert set(outcome.verdicts.values()) == {frozenset({"outside-rule-age"})}
    assert outcome.advice["findings"] == []


def same_reading(outcome: Outcome, row: dict[str, Any]) -> None:
    """Codes, values and units of the row, and its effective time."""
    codes, values, units = (row[key].split("; ") for key in ("code", "value", "unit"))
    assert [one["code"] for one in outcome.sent["observations"]] == codes
    for code, value, unit in zip(codes, values, units, strict=True):
        found = outcome.observation(code)
        if value == "absent":
            assert "value" not in found
            assert "absent" in found
        else:
            assert (str(found["value"]), found["unit"]) == (value, unit)
    measured = outcome.sent["event"].get("measured", "none")
    assert (f"{measured['start']}/{measured['end']}" if isinstance(measured, dict) else measured) == row["effective"]


def adult_reading(name: str, row: dict[str, Any]) -> None:
    outcome = joined(name)
    same_reading(outcome, row)
    outside_age(outcome)


def no_reading(name: str, _row: dict[str, Any]) -> None:
    outcome = joined(name)
    assert outcome.sent["observations"] == []
    assert set(outcome.reasons) <= {"not-ours", "code-unmapped", "component-unread", "missing-member", "unit-unmapped"}
    assert outcome.reasons
    assert outcome.advice["findings"] == []


def counted_not_ours(name: str, row: dict[str, Any]) -> None:
    no_reading(name, row)
    assert joined(name).reasons[0] == "not-ours"


def apgar(name: str, row: dict[str, Any]) -> None:
    no_reading(name, row)
    born = joined(name).entry.infant.birth
    assert born is not None
    assert born.text == "2016-05-18T10:28:45Z"


def body_temperature(name: str, row: dict[str, Any]) -> None:
    adult_reading(name, row)
    assert "route" not in joined(name).observation("body-temperature")


def old_category(name: str, row: dict[str, Any]) -> None:
    adult_reading(name, row)
    assert "other-fhir-version" in joined(name).reasons


def _standing(outcome: Outcome) -> list[dict[str, Any]]:
    """The findings that were not withdrawn."""
    return [found for found in outcome.advice["findings"] if found["status"] != "withdrawn"]


def entered_in_error(name: str, row: dict[str, Any]) -> None:
    outcome = joined(name)
    same_reading(outcome, row)
    assert outcome.observation("body-temperature")["status"] == "entered-in-error"
    assert outcome.entry.event.measured is None
    assert _standing(outcome) == []
    before = read(name) | {"status": "final", "effectiveDateTime": "2013-04-04T13:20:00+01:00"}
    infant = {"resourceType": "Patient", "id": "f201", "birthDate": "2013-03-28"}
    assert take(join([infant, before])).advice["findings"] != []
    withdrawn = take(join([infant, before, read(name)]))
    assert _standing(withdrawn) == []
    assert withdrawn.advice["findings"] != []
    assert "replaced" in withdrawn.reasons


def interpretation_unread(name: str, row: dict[str, Any]) -> None:
    adult_reading(name, row)
    loud = read(name) | {"interpretation": [{"coding": [{"system": "x", "code": "LL"}]}], "referenceRange": []}
    assert to_entry(loud) == to_entry(read(name))


def exact_pounds(name: str, row: dict[str, Any]) -> None:
    adult_reading(name, row)
    (weight,) = joined(name).entry.observations
    assert weight.quantity is not None
    assert weight.quantity.position == quantity("mass", Decimal(185) * Decimal("453.59237"), "g").position


def float_debris(name: str, row: dict[str, Any]) -> None:
    adult_reading(name, row)
    outcome = joined(name)
    (length,) = outcome.entry.observations
    assert length.quantity is not None
    assert length.quantity.position == quantity("length", Decimal("66.9"), "[in_i]").position
    assert length.quantity.text == row["value"]
    assert "binary-float-debris" in outcome.reasons
    assert "position" not in outcome.observation("body-length")


def no_growth_finding(name: str, row: dict[str, Any]) -> None:
    adult_reading(name, row)
    assert joined(name).observation("body-length")["position"] == "lying"


def right_arm(name: str, row: dict[str, Any]) -> None:
    adult_reading(name, row)
    assert {one["site"] for one in joined(name).sent["observations"]} == {"right-arm"}


def absent_diastolic(name: str, row: dict[str, Any]) -> None:
    right_arm(name, row)
    assert joined(name).observation("diastolic-pressure")["absent"] == "not-performed"


def cancelled(name: str, row: dict[str, Any]) -> None:
    outcome = joined(name)
    same_reading(outcome, row)
    assert {one["status"] for one in outcome.sent["observations"]} == {"cancelled"}
    assert _standing(outcome) == []
    assert {one["status"] for one in outcome.advice["expected"]} == {"cancelled"}


def three_days(name: str, row: dict[str, Any]) -> None:
    outcome = joined(name)
    same_reading(outcome, row)
    outside_age(outcome)
    assert outcome.reasons == ["period-end"]
    measured = outcome.entry.event.measured
    assert measured is not None
    assert measured.seconds.high - measured.seconds.low == 3 * 86_400


def panel(name: str, row: dict[str, Any]) -> None:
    counted_not_ours(name, row)
    members = ["respiratory-rate", "heart-rate", "blood-pressure", "body-temperature"]
    assert joined(name).reasons.count("missing-member") == len(members)
    whole = take(join([read(f"{R4}/Patient-example.json"), read(name), *_members(members)]))
    assert "missing-member" not in whole.reasons
    read_codes = {code for one in [whole.sent, *whole.sent["earlier"]] for code in _codes(one)}
    assert read_codes == {*members, "systolic-pressure", "diastolic-pressure"} - {"blood-pressure"}


def _members(names: list[str]) -> list[Any]:
    return [read(f"{R4}/Observation-{name}.json") for name in names]


def _codes(entry: dict[str, Any]) -> list[str]:
    return [one["code"] for one in entry["observations"]]


def decimals(name: str, row: dict[str, Any]) -> None:
    no_reading(name, row)
    outcome = joined(name)
    assert outcome.reasons == ["code-unmapped", "unit-unmapped"]
    assert "(8 times)" in outcome.entry.remarks[0].words
    assert "(7 times)" in outcome.entry.remarks[1].words
    parsed = [part["valueQuantity"]["value"] for part in read(name)["component"]]
    assert all(type(value) in (int, Decimal) for value in parsed)
    assert "1.00" in [str(value) for value in parsed]
    assert Decimal("1.000000000000000000E-245") in parsed


def vomiting(name: str, row: dict[str, Any]) -> None:
    mapped = take(read(name), THORNMERE)
    assert mapped.sent["observations"] == [{"code": row["code"], "grade": row["value"]}]
    assert take(read(name)).reasons == ["code-unmapped"]
    strange = beside_another(name, THORNMERE)
    assert strange.sent["observations"] == []
    assert "other-subject" in strange.reasons


def other_focus(name: str, _row: dict[str, Any]) -> None:
    infant = {"resourceType": "Patient", "id": "infant", "birthDate": "2018-03-01"}
    outcome = take(join([infant, read(name)]), THORNMERE)
    assert outcome.sent["observations"] == []
    assert outcome.reasons == ["other-subject"]
    heart = observation("8867-4", subject={"reference": "Patient/infant"}, focus=[{"reference": "Patient/infant-mom"}])
    assert take(join([infant, heart])).sent["observations"] == []


def swapped_birth(name: str, _row: dict[str, Any]) -> None:
    outcome = take(join([read(name), heart_rate("newborn", "2017-09-20T10:00:00Z")]))
    assert outcome.entry.infant.birth is None
    assert "birth-conflict" in outcome.reasons
    assert (outcome.entry.infant.sex, outcome.entry.infant.order) == ("male", 2)
    assert outcome.advice["age"]["chronological"] == {"missing": ["unknown-age"]}


def heart_rate(patient: str, when: str) -> dict[str, Any]:
    return observation("8867-4", when, subject={"reference": f"Patient/{patient}"})


def adult(name: str, row: dict[str, Any]) -> None:
    patient = read(name)
    outcome = take(join([patient, heart_rate(patient["id"], "2020-01-01T10:00:00Z")]))
    assert outcome.entry.infant.birth is not None
    assert outcome.entry.infant.birth.text.startswith(row["value"])
    outside_age(outcome)


def child(name: str, row: dict[str, Any]) -> None:
    last = take(join([read(name), heart_rate("child-example", "2018-01-14T10:00:00Z")]))
    assert frozenset({"outside-rule-age"}) != last.verdicts["heart-rate-under-60"]
    outside_age(take(join([read(name), heart_rate("child-example", "2018-01-15T10:00:00Z")])))
    assert last.entry.infant.birth is not None
    assert last.entry.infant.birth.text == row["value"]


def infant_without_sex(name: str, row: dict[str, Any]) -> None:
    outcome = take(join([read(name), heart_rate("infant-example", "2020-06-03T10:00:00Z")]))
    born = outcome.entry.infant.birth
    assert born is not None
    assert (born.text, born.seconds.high - born.seconds.low) == (row["value"], 86_399)
    assert outcome.entry.infant.sex is None


def failed_request(name: str, _row: dict[str, Any]) -> None:
    with pytest.raises(Refused) as refused:
        to_entry(read(name))
    assert [problem.code for problem in refused.value.problems] == ["FH-102"]
    among = take(join([read(f"{US}/patient-infant-example.json"), read(name)]))
    assert among.reasons == ["fetch-error"]
    assert "SQL" not in json.dumps(among.advice, default=str) + str(refused.value)


def empty_search(name: str, _row: dict[str, Any]) -> None:
    outcome = take(read(name))
    assert (outcome.sent["observations"], outcome.sent["infant"]) == ([], {})
    assert outcome.reasons == ["fetch-warning"]


def weight_of_old_version(name: str, row: dict[str, Any]) -> None:
    old_category(name, row)
    assert joined(name).entry.remarks[0].found == "context"


def flow_as_context(name: str, row: dict[str, Any]) -> None:
    adult_reading(name, row)
    saturation = joined(name).observation("oxygen-saturation")
    assert saturation["flow"] == {"value": 6, "unit": "L/min"}
    assert saturation["oxygen"] == "supplemental"
    assert "inspired_oxygen" not in saturation


def bare_saturation(name: str, row: dict[str, Any]) -> None:
    adult_reading(name, row)
    assert not {"site", "oxygen"} & joined(name).observation("oxygen-saturation").keys()


def between_ticks(name: str, row: dict[str, Any]) -> None:
    adult_reading(name, row)
    (reading,) = joined(name).entry.observations
    assert reading.quantity is not None
    assert (reading.quantity.text, reading.quantity.position % 2) == ("36.55556", 1)


def doubted_head(name: str, row: dict[str, Any]) -> None:
    outcome = joined(name)
    same_reading(outcome, row)
    assert outcome.advice["age"]["chronological"]["days"] == {"from": 168, "to": 169}
    growth = [found for found in outcome.advice["findings"] if found["finding"].startswith("head-")]
    doubted = any(found["finding"] == "implausible-value" for found in outcome.advice["findings"])
    assert doubted or all(found["status"] == "held" for found in growth)


def means(name: str, row: dict[str, Any]) -> None:
    counted_not_ours(name, row)
    assert "unit-unmapped" in joined(name).reasons


def nail_bed(name: str, row: dict[str, Any]) -> None:
    adult_reading(name, row)
    assert joined(name).observation("capillary-refill")["site"] == "finger"


def birth_weight(name: str, row: dict[str, Any]) -> None:
    outcome = joined(name)
    assert outcome.sent["infant"]["birth_weight"] == {"value": int(row["value"]), "unit": row["unit"]}
    assert outcome.sent["observations"] == []
    assert outcome.sent["event"] == {"absent": "unknown"}
    both = [read(f"{BFDR}/Observation-observation-birth-weight-babyg-quinn{end}.json") for end in ("", "-w-edit")]
    twice = take(join([read(f"{BFDR}/Patient-patient-child-babyg-quinn.json"), *both]))
    assert twice.sent["infant"]["birth_weight"] == {"value": 2500, "unit": "g"}
    assert "infant-conflict" not in twice.reasons


def not_this_infant(name: str, _row: dict[str, Any]) -> None:
    outcome = beside_another(name)
    assert "birth_weight" not in outcome.sent["infant"]
    assert outcome.sent["observations"] == []
    assert outcome.reasons == ["other-subject"]


def gestation(days: tuple[int, int]) -> Must:
    def must(name: str, _row: dict[str, Any]) -> None:
        found = joined(name).entry.infant.gestation
        assert found is not None
        assert (found.low, found.high) == days

    return must


def quinn(name: str, _row: dict[str, Any]) -> None:
    infant = take(read(name)).sent["infant"]
    assert infant == {
        "id": "patient-child-babyg-quinn",
        "birth": "2019-02-12T13:00:00-07:00",
        "sex": "female",
        "order": 1,
    }


def _rows(folder: str, musts: dict[str, Must]) -> dict[str, Must]:
    return {f"{folder}/{name}.json": must for name, must in musts.items()}


MUST: dict[str, Must] = {
    **_rows(
        R4,
        {
            "Observation-heart-rate": adult_reading,
            "Observation-respiratory-rate": adult_reading,
            "Observation-body-temperature": body_temperature,
            "Observation-f202": entered_in_error,
            "Observation-satO2": interpretation_unread,
            "Observation-example": exact_pounds,
            "Observation-body-height": float_debris,
            "Observation-body-length": no_growth_finding,
            "Observation-head-circumference": adult_reading,
            "Observation-blood-pressure": right_arm,
            "Observation-blood-pressure-dar": absent_diastolic,
            "Observation-blood-pressure-cancel": cancelled,
            "Observation-mbp": adult_reading,
            "Observation-map-sitting": three_days,
            "Observation-vitals-panel": panel,
            "Observation-bmi": counted_not_ours,
            "Observation-decimal": decimals,
            "Observation-vomiting": vomiting,
            "Observation-trachcare": other_focus,
            "Observation-1minute-apgar-score": apgar,
            "Observation-2minute-apgar-score": apgar,
            "Observation-5minute-apgar-score": apgar,
            "Observation-20minute-apgar-score": apgar,
            "Patient-newborn": swapped_birth,
            "Patient-example": adult,
            "OperationOutcome-exception": failed_request,
            "Bundle-bundle-search-warning": empty_search,
        },
    ),
    **_rows(
        STU3,
        {
            "Observation-heart-rate": old_category,
            "Observation-body-temperature": old_category,
            "Observation-example": weight_of_old_version,
        },
    ),
    **_rows(
        US,
        {
            "oxygen-saturation": bare_saturation,
            "observation-satO2-fiO2": flow_as_context,
            "temperature": between_ticks,
            "heart-rate": adult_reading,
            "respiratory-rate": adult_reading,
            "weight": adult_reading,
            "length": no_growth_finding,
            "head-circumference": doubted_head,
            "ofc-percentile": counted_not_ours,
            "pediatric-wt-example": counted_not_ours,
            "bp-data-absent": adult_reading,
            "Observation-average-blood-pressure": means,
            "capillary-refill-time-nail-bed": nail_bed,
            "heart-rate-rhythm": no_reading,
            "Observation-10-minute-apgar-score": counted_not_ours,
            "Observation-10-minute-apgar-score-panel": counted_not_ours,
            "Observation-10-minute-apgar-heart-rate": counted_not_ours,
            "patient-infant-example": infant_without_sex,
            "patient-child-example": child,
            "patient-example": adult,
        },
    ),
    **_rows(
        BFDR,
        {
            "Observation-observation-birth-weight-babyg-quinn": birth_weight,
            "Observation-observation-birth-weight-babyg-quinn-w-edit": birth_weight,
            "Observation-observation-birth-weight-not-named": not_this_infant,
            "Observation-observation-gestational-age-at-delivery-babyg-quinn": gestation((252, 258)),
            "Observation-observation-gestational-age-at-delivery-babyg-quinn-prem-d": gestation((236, 236)),
            "Observation-observation-gestational-age-at-delivery-babyg-quinn-prem-w": gestation((236, 236)),
            "Observation-observation-apgar-score-babyg-quinn-5-min": counted_not_ours,
            "Observation-observation-mother-delivery-weight-jada-ann-quinn": not_this_infant,
            "Patient-patient-child-babyg-quinn": quinn,
        },
    ),
}


def test_every_row_has_its_check_and_every_check_its_row() -> None:
    assert MUST.keys() | {NDJSON} == ROWS.keys()


@pytest.mark.parametrize("name", RESOURCES)
def test_each_file_alone_is_read_and_advised_or_refused_for_a_failed_request(name: str) -> None:
    if name.endswith("OperationOutcome-exception.json"):
        with pytest.raises(Refused):
            to_entry(read(name))
        return
    outcome = take(read(name))
    assert set(outcome.verdicts) == {rule.id for rule in adviser().rules.rules}
    if read(name)["resourceType"] == "Observation" and "contained" not in read(name):
        assert outcome.entry.infant.birth is None


@pytest.mark.parametrize("name", RESOURCES)
def test_what_must_come_of_each_file_comes_of_it(name: str) -> None:
    MUST[name](name, ROWS[name])


def test_each_line_of_the_bulk_export_is_a_patient_too_old_for_any_rule(fhir_examples: Path) -> None:
    lines = (fhir_examples / NDJSON).read_text(encoding="utf-8").splitlines()
    assert len(lines) == 13
    for line in lines:
        patient = read_json(line)
        outcome = take(join([patient, heart_rate(patient["id"], NOW.text)]))
        born = read_when(patient["birthDate"])
        assert born is not None
        assert born.moment.dates[0] < date(2012, 1, 1)
        outside_age(outcome)
    together = take(join([read_json(line) for line in lines]))
    assert together.sent["infant"] == {}
    assert len(together.reasons) == 13
