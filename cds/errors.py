"""What a refused file or entry says: five fields, each problem once.

Codes: RS for rule sets, EN for entries, FH for FHIR, CM for code maps. Each code has a line in docs/errors.md.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One problem: code, place, what was found, what was expected, what to do next."""

    place: str
    code: str
    found: str
    expected: str
    next: str

    def text(self) -> str:
        """Four lines, as printed on a terminal."""
        return (
            f"{self.code}  {self.place}\n  found     {self.found}\n  expected  {self.expected}\n  next      {self.next}"
        )

    def data(self) -> dict[str, str]:
        """The five fields for a JSON answer."""
        fields = asdict(self)
        return {name: fields[name] for name in ("code", "place", "found", "expected", "next")}


class Refused(Exception):
    """Input refused, with every problem found. `subject` is `entry`, `rules` or `codes`."""

    def __init__(self, subject: str, problems: Iterable[Problem]) -> None:
        self.subject = subject
        self.problems = tuple(dict.fromkeys(problems))
        super().__init__(self.text())

    def text(self) -> str:
        """All problems, a blank line between."""
        return "\n\n".join(problem.text() for problem in self.problems)
