"""Our canonical form against the examples that RFC 8785 prints.

RFC 8785, JSON Canonicalization Scheme, 2020: 3.2.2 and 3.2.4 (an object and its bytes), 3.2.3 (keys sorted by UTF-16
code units), Appendix B (numbers from their 64 bits). No registry package that we found carries the vectors of its
authors, so the examples of the text itself stand here.
"""

from __future__ import annotations

import json
import struct
from decimal import Decimal
from typing import Any

import pytest
import rfc8785

from cds.seal import canonical, digest

# 3.2.2: as printed, with the escapes of the text.
SAMPLE = r"""{
  "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
  "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
  "literals": [null, true, false]
}"""
# 3.2.4: its bytes.
SAMPLE_BYTES = """
7b 22 6c 69 74 65 72 61 6c 73 22 3a 5b 6e 75 6c 6c 2c 74 72 75 65 2c 66 61 6c 73 65 5d 2c 22 6e 75 6d 62 65 72 73 22 3a
5b 33 33 33 33 33 33 33 33 33 2e 33 33 33 33 33 33 33 2c 31 65 2b 33 30 2c 34 2e 35 2c 30 2e 30 30 32 2c 31 65 2d 32 37
5d 2c 22 73 74 72 69 6e 67 22 3a 22 e2 82 ac 24 5c 75 30 30 30 66 5c 6e 41 27 42 5c 22 5c 5c 5c 5c 5c 22 2f 22 7d
"""
# 3.2.3: keys as printed, and the order of their values.
KEYS = r"""{
  "\u20ac": "Euro Sign",
  "\r": "Carriage Return",
  "\ufb33": "Hebrew Letter Dalet With Dagesh",
  "1": "One",
  "\ud83d\ude00": "Emoji: Grinning Face",
  "\u0080": "Control",
  "\u00f6": "Latin Small Letter O With Diaeresis"
}"""
SORTED = [
    "Carriage Return",
    "One",
    "Control",
    "Latin Small Letter O With Diaeresis",
    "Euro Sign",
    "Emoji: Grinning Face",
    "Hebrew Letter Dalet With Dagesh",
]
APPENDIX_B = {
    "0000000000000000": "0",
    "8000000000000000": "0",
    "0000000000000001": "5e-324",
    "8000000000000001": "-5e-324",
    "7fefffffffffffff": "1.7976931348623157e+308",
    "ffefffffffffffff": "-1.7976931348623157e+308",
    "4340000000000000": "9007199254740992",
    "c340000000000000": "-9007199254740992",
    "4430000000000000": "295147905179352830000",
    "44b52d02c7e14af5": "9.999999999999997e+22",
    "44b52d02c7e14af6": "1e+23",
    "44b52d02c7e14af7": "1.0000000000000001e+23",
    "444b1ae4d6e2ef4e": "999999999999999700000",
    "444b1ae4d6e2ef4f": "999999999999999900000",
    "444b1ae4d6e2ef50": "1e+21",
    "3eb0c6f7a0b5ed8c": "9.999999999999997e-7",
    "3eb0c6f7a0b5ed8d": "0.000001",
    "41b3de4355555553": "333333333.3333332",
    "41b3de4355555554": "333333333.33333325",
    "41b3de4355555555": "333333333.3333333",
    "41b3de4355555556": "333333333.3333334",
    "41b3de4355555557": "333333333.33333343",
    "becbf647612f3696": "-0.0000033333333333333333",
    "43143ff3c1cb0959": "1424953923781206.2",
}
REFUSED = ("7fffffffffffffff", "7ff0000000000000")


def read(text: str) -> Any:
    """Read as the sealed file is read: numbers with a point or an exponent as exact decimals."""
    return json.loads(text, parse_float=Decimal)


def from_bits(bits: str) -> float:
    [number] = struct.unpack(">d", bytes.fromhex(bits))
    assert isinstance(number, float)
    return number


def test_the_sample_object_has_the_printed_bytes() -> None:
    assert canonical(read(SAMPLE)) == bytes.fromhex(SAMPLE_BYTES)


def test_keys_are_sorted_as_the_text_prints() -> None:
    assert list(json.loads(canonical(read(KEYS))).values()) == SORTED


@pytest.mark.parametrize(("bits", "printed"), APPENDIX_B.items())
def test_each_number_of_appendix_b_is_written_as_printed(bits: str, printed: str) -> None:
    assert canonical(from_bits(bits)) == printed.encode()


@pytest.mark.parametrize("bits", REFUSED)
def test_not_a_number_and_infinity_are_refused(bits: str) -> None:
    with pytest.raises(rfc8785.CanonicalizationError):
        canonical(from_bits(bits))


@pytest.mark.parametrize(("text", "same"), [("4.50", "4.5"), ("38.0", "38"), ("1E3", "1000"), ("2e-3", "0.002")])
def test_one_number_in_two_spellings_has_one_form_and_one_digest(text: str, same: str) -> None:
    assert canonical(read(text)) == canonical(read(same)) == same.encode()
    assert digest(read(text)) == digest(read(same))
