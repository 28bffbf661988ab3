"""Tests: agree (evaluators compared), outside (published figures), wrong (what is refused), parts, bench."""
