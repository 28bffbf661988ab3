"""The shape of an advice: schema, classes and what the adviser answers are one."""

import json
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from cds import cases
from cds.advice.model import Advice
from cds.adviser import Adviser
from cds.rules.load import load
from cds.shipped import shipped
from tools.advice_schema import make

RULES = shipped("rulesets") / "infant-vitals"


@pytest.fixture(scope="module")
def answers() -> list[dict[str, object]]:
    adviser = Adviser(load(RULES))
    picked = cases.read(RULES)[::25]
    return [adviser.advise(cases.read_case(case)) for case in picked]


def test_schema_file_is_what_the_classes_make() -> None:
    assert (shipped("schemas") / "advice.schema.json").read_text(encoding="utf-8") == make()


def test_every_advice_is_valid_under_the_schema(answers: list[dict[str, object]]) -> None:
    validator = Draft202012Validator(json.loads(make()))
    assert len(answers) > 100
    for answer in answers:
        assert [error.message for error in validator.iter_errors(json.loads(json.dumps(answer)))] == []


def test_classes_read_every_advice_and_give_it_back(answers: list[dict[str, object]]) -> None:
    for answer in answers:
        read = Advice.model_validate_json(json.dumps(answer))
        assert json.loads(read.model_dump_json(by_alias=True, exclude_unset=True)) == json.loads(json.dumps(answer))


@pytest.mark.parametrize(
    ("path", "value"),
    [("findings", None), ("counts", {"rules": -1}), ("schema", "another/1"), ("extra", 1)],
)
def test_an_advice_of_another_shape_is_refused(answers: list[dict[str, object]], path: str, value: object) -> None:
    validator = Draft202012Validator(json.loads(make()))
    changed = {**json.loads(json.dumps(answers[0])), path: value}
    assert not validator.is_valid(changed)
    with pytest.raises(ValueError, match="validation error"):
        Advice.model_validate(changed)


def test_importing_the_adviser_does_not_import_pydantic() -> None:
    import subprocess
    import sys

    code = "import sys, cds.adviser; sys.exit('pydantic' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], cwd=Path(__file__).parents[2]).returncode == 0
