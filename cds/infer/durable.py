"""Run rules over named facts in durable-rules, the second evaluator.

Takes rules and the names of the facts that are true; gives the ids of the rules that fired, findings chained. Decides
nothing itself: no number, gap or negation reaches the library. The only importer of durable-rules, and only when used.

The mode of use is narrow, because the library is unsafe outside it: no timers, one batch of facts in one session that
ends with the call; a last rule collects every fact, which proves that no rule was left waiting. Facts are never taken
out one by one: after a rule over several facts has fired, that reads and writes past the library's own memory.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Sequence, Set
from contextlib import contextmanager
from threading import Lock
from typing import Any

from cds.errors import Refused
from cds.infer.limits import FACT, MOST_CONDITIONS, SESSION, Branch, EngineRule, check, split

__all__ = ["MOST_REBUILDS", "Engine", "EngineFailed", "EngineRule", "available"]

# After a fault the session's memory, some megabytes, is kept: freeing it may not be safe any more.
MOST_REBUILDS = 20
_RULES = "rules"
_LAST = "last"


class EngineFailed(Exception):
    """The engine has no answer to be relied on; `reason` says why and holds no charted value."""

    def __init__(self, reason: str) -> None:
        self.reason = reason
        super().__init__(reason)


class _Irregular(Exception):
    """The library did something other than fire rules on the facts it was given."""


def available() -> bool:
    """Whether durable-rules can be imported here; its last release stops at Python 3.12."""
    try:
        _library()
    except ImportError:
        return False
    return True


class Engine:
    """Rules held ready in the library. Threads may share one; one call runs at a time.

    `fault` says what last went wrong, empty while nothing has.
    """

    def __init__(self, rules: Sequence[EngineRule]) -> None:
        """Check the limits and build.

        Raises:
            Refused: a limit is passed (RS-401 to RS-406).
            EngineFailed: the library is missing, or does not fire the first rule of a new set.
        """
        if problems := check(rules):
            raise Refused("rules", problems)
        self.fault = ""
        self._sets = split(rules)
        self._stages: list[_Stage] = []
        self._builds = 0
        self._closed = False
        self._lock = Lock()
        try:
            self._build()
        except _Irregular as error:
            raise EngineFailed(self.fault) from error

    @property
    def rebuilds(self) -> int:
        """How often the rules were built again after a fault."""
        return self._builds - 1

    def fired(self, facts: Set[str]) -> frozenset[str]:
        """The ids of the rules that fire where exactly these facts are true, with the findings that follow from them.

        Names that no rule uses are left aside. After a fault the rules are built again, once in a call.

        Raises:
            EngineFailed: a second fault, too many rebuilds, or a closed engine.
        """
        with self._lock:
            try:
                return self._infer(facts)
            except _Irregular:
                return self._infer_again(facts)

    def close(self) -> None:
        """Free what the library holds; later calls fail."""
        with self._lock:
            self._closed = True
            self._drop()

    def _infer(self, facts: Set[str]) -> frozenset[str]:
        if self._closed:
            raise EngineFailed("the engine is closed")
        if len(self._stages) < len(self._sets):
            self._rebuild()
        known, fired = set(facts), set[str]()
        with self._watch():
            for stage in self._stages:
                for branch in stage.run(known & stage.wanted):
                    fired.add(branch.rule)
                    known.add(branch.gives)
        return frozenset(fired)

    def _infer_again(self, facts: Set[str]) -> frozenset[str]:
        try:
            return self._infer(facts)
        except _Irregular as error:
            raise EngineFailed(self.fault) from error

    def _rebuild(self) -> None:
        if self.rebuilds >= MOST_REBUILDS:
            raise EngineFailed(f"switched off after {self.rebuilds} rebuilds, the last fault being {self.fault}")
        self._build()

    def _build(self) -> None:
        self._builds += 1
        with self._watch():
            for branches in self._sets:
                self._stages.append(_Stage(branches))

    def _drop(self) -> None:
        stages, self._stages = self._stages, []
        for stage in stages:
            try:
                stage.close()
            except Exception as error:
                self.fault += f"; not freed: {error}"

    @contextmanager
    def _watch(self) -> Iterator[None]:
        """Give the rules up on anything raised, an interrupt too: facts may have been left in them."""
        try:
            yield
        except BaseException as error:
            self.fault = f"{type(error).__name__}: {error}"[:300]
            self._drop()
            if isinstance(error, Exception):
                raise _Irregular(self.fault) from error
            raise


class _Stage:
    """One set of rules inside the library with its one session. One thread at a time."""

    def __init__(self, branches: Sequence[Branch]) -> None:
        self.wanted = frozenset(fact for branch in branches for fact in branch.facts)
        self._facts = {name: {"sid": SESSION, "id": name, FACT: name} for name in sorted(self.wanted)}
        self._texts = {name: json.dumps(fact) for name, fact in self._facts.items()}
        host_class, self._library = _library()
        self._ruleset = host_class({_RULES: self._define(branches)}).get_ruleset(_RULES)
        self._handle: int = self._ruleset._handle
        self._prime(branches[0])

    def run(self, facts: Set[str]) -> Sequence[Branch]:
        """The branches that fire on these facts, all of them wanted; raises whatever goes wrong."""
        if not facts:
            return ()
        self._begin(facts)
        self._ruleset.do_actions(self._put(facts), self._end)
        self._prove()
        self._end_session()
        return self._fired

    def close(self) -> None:
        """Free the set; it holds no session, unless a fault left one."""
        self._library.delete_ruleset(self._handle)

    def _define(self, branches: Sequence[Branch]) -> dict[str, dict[str, object]]:
        """The rules as the library reads them: lower `pri` first, the last rule on every fact at once (`cap`)."""
        rules: dict[str, dict[str, object]] = {
            branch.name: {"all": _frames(branch.facts), "run": self._action(branch)} for branch in branches
        }
        every = [{"m": {"$ex": {FACT: 1}}}]
        rules[_LAST] = {"all": every, "pri": 1, "cap": MOST_CONDITIONS, "run": self._guard(self._collect)}
        return rules

    def _action(self, branch: Branch) -> Callable[[Any], None]:
        return self._guard(lambda closure: self._fire(branch, closure))

    def _guard(self, act: Callable[[Any], None]) -> Callable[[Any], None]:
        """An action that keeps whatever is raised: the library would put it into the session and go on."""

        def guarded(closure: Any) -> None:
            try:
                act(closure)
            except BaseException as error:
                self._raised.append(error)

        return guarded

    def _prime(self, first: Branch) -> None:
        """Run once, to see that the set fires at all."""
        try:
            if first not in self.run(set(first.facts)):
                raise _Irregular(f"a new set did not fire {first.name}")
        except BaseException:
            self.close()
            raise

    def _begin(self, facts: Set[str]) -> None:
        self._held = set(facts)
        self._fired: list[Branch] = []
        self._collected: list[str] = []
        self._raised: list[BaseException] = []

    def _put(self, facts: Set[str]) -> int:
        """Put the facts in as one batch, in one order for the same facts; gives the library's number of the session."""
        batch = ",".join([self._texts[name] for name in sorted(facts)])
        result, state = self._library.assert_facts(self._handle, f"[{batch}]")
        if result:
            raise _Irregular("a fact met no rule or was there already")
        return int(state)

    def _fire(self, branch: Branch, closure: Any) -> None:
        self._fired.append(branch)
        if branch.gives in self.wanted and branch.gives not in self._held:
            self._held.add(branch.gives)
            closure.assert_fact(self._facts[branch.gives])

    def _collect(self, closure: Any) -> None:
        if closure.s.exception is not None:
            raise _Irregular("the library swallowed an exception")
        self._collected += [message[FACT] for message in closure.m]

    def _end(self, error: object, _: object) -> None:
        if error:
            self._raised.append(_Irregular(f"the library gave up: {error}"))

    def _prove(self) -> None:
        """Raise what an action raised; then every fact must have come to the last rule, each once."""
        for error in self._raised:
            raise error
        if sorted(self._collected) != sorted(self._held):
            raise _Irregular("the last rule did not see every fact once")

    def _end_session(self) -> None:
        """Free the session and its facts.

        INVARIANT: only after a rule has fired in the set; before, the library frees a pointer it never set.
        """
        self._library.delete_state(self._handle, SESSION)
        try:
            left = self._library.get_facts(self._handle, SESSION)
        except self._library.error:
            return
        raise _Irregular(f"the session outlived the call, with {left[:100]}")


def _frames(facts: Sequence[str]) -> list[dict[str, dict[str, str]]]:
    return [{f"f{place}": {FACT: fact}} for place, fact in enumerate(facts)]


def _library() -> tuple[Any, Any]:
    """The library's host without its timers, and its compiled part.

    The stock host starts two endless timer threads that touch freed sessions.
    """
    import durable_rules_engine
    from durable.engine import Host

    return type("Host", (Host,), {"_run": lambda self: None}), durable_rules_engine
