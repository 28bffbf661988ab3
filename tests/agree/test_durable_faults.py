"""A fault in the library never becomes an answer: rebuilt once, else no answer with the reason."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from cds.infer.durable import MOST_REBUILDS, Engine, EngineFailed, available
from cds.infer.limits import EngineRule

pytestmark = pytest.mark.durable_rules

RULES = (
    EngineRule("first", (("a", "b"),), "finding:first"),
    EngineRule("second", (("finding:first", "c"),), "finding:second"),
)
FACTS = frozenset({"a", "b", "c"})
BOTH = {"first", "second"}


@pytest.fixture
def engine() -> Iterator[Engine]:
    made = Engine(RULES)
    yield made
    made.close()


@pytest.fixture
def library() -> Any:
    import durable_rules_engine

    return durable_rules_engine


class Plant:
    """Replaces one function of the library; the fault comes the first `times` that it is called."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, library: Any) -> None:
        self.monkeypatch, self.library = monkeypatch, library
        self.calls = 0

    def __call__(self, name: str, fault: Callable[[Callable[..., Any]], Any], times: int = 1) -> None:
        real = getattr(self.library, name)

        def planted(*given: object) -> Any:
            self.calls += 1
            return fault(lambda: real(*given)) if self.calls <= times else real(*given)

        self.monkeypatch.setattr(self.library, name, planted)


@pytest.fixture
def plant(monkeypatch: pytest.MonkeyPatch, library: Any) -> Plant:
    return Plant(monkeypatch, library)


def broken(_: object) -> Any:
    raise ValueError("planted")


def refused(real: Callable[[], tuple[int, int]]) -> tuple[int, int]:
    return 1, real()[1]


def swallowed(real: Callable[[], tuple[str, str]]) -> tuple[str, str]:
    state, messages = real()
    return state.replace("}", ',"exception":"planted"}'), messages


FAULTS = {
    "action raises": ("assert_fact", broken, "ValueError: planted"),
    "fact asserted twice": ("assert_fact", refused, "MessageNotHandledException"),
    "batch not taken": ("assert_facts", broken, "ValueError: planted"),
    "fact meets no rule": ("assert_facts", refused, "met no rule"),
    "rules left waiting": ("start_action_for_state", lambda _: None, "did not see every fact"),
    "rules stop half way": ("complete_and_start_action", lambda real: real() and None, "did not see every fact"),
    "library gives up": ("complete_and_start_action", broken, "gave up: planted"),
    "exception swallowed": ("start_action_for_state", swallowed, "swallowed an exception"),
    "facts left over": ("get_facts", lambda _: '[{"c":"a"}]', "outlived the call"),
    "session not freed": ("delete_state", lambda _: None, "outlived the call"),
}
CASES = pytest.mark.parametrize(("name", "fault", "reason"), FAULTS.values(), ids=FAULTS)


@CASES
def test_fault_is_followed_by_one_rebuild_and_the_right_answer(
    engine: Engine, plant: Plant, name: str, fault: Callable[..., Any], reason: str
) -> None:
    plant(name, fault)
    assert engine.fired(FACTS) == BOTH
    assert engine.rebuilds == 1
    assert reason in engine.fault
    assert engine.fired(frozenset({"a", "c"})) == frozenset()
    assert engine.fired(FACTS) == BOTH
    assert engine.rebuilds == 1


@CASES
def test_fault_that_stays_gives_no_answer_but_the_reason(
    engine: Engine, plant: Plant, name: str, fault: Callable[..., Any], reason: str
) -> None:
    plant(name, fault, times=1_000)
    with pytest.raises(EngineFailed) as failed:
        engine.fired(FACTS)
    assert failed.value.reason == engine.fault
    assert reason in engine.fault
    assert engine.rebuilds == 1
    plant.calls = 1_000
    assert engine.fired(FACTS) == BOTH


@pytest.mark.parametrize(
    ("told", "instead"),
    [('"c": "a"}', '"c": "d"}'), ('{"last":[', '{"last":[{"m":{"c": "a"}},')],
    ids=["a fact from nowhere", "one more time"],
)
def test_last_rule_that_is_told_other_facts_is_noticed(engine: Engine, plant: Plant, told: str, instead: str) -> None:
    plant("complete_and_start_action", lambda real: (real() or "").replace(told, instead), times=2)
    assert engine.fired(FACTS) == BOTH
    assert engine.fault == "_Irregular: the last rule did not see every fact once"


def test_action_that_outlasts_the_library_is_noticed(engine: Engine, monkeypatch: pytest.MonkeyPatch) -> None:
    from durable import engine as stock

    ticks = iter(range(0, 10_000, 11))
    with monkeypatch.context() as slow:
        slow.setattr(stock, "_unix_now", lambda: next(ticks))
        with pytest.raises(EngineFailed, match="did not see every fact"):
            engine.fired(FACTS)
    assert engine.fired(FACTS) == BOTH


def test_interrupt_passes_and_leaves_no_fact(engine: Engine, plant: Plant) -> None:
    def interrupt(real: Callable[[], object]) -> Any:
        real()
        raise KeyboardInterrupt

    plant("assert_facts", interrupt)
    with pytest.raises(KeyboardInterrupt):
        engine.fired(FACTS)
    assert engine.fired(frozenset({"b", "c"})) == frozenset()
    assert engine.rebuilds == 1


def test_engine_that_keeps_failing_is_switched_off(engine: Engine, plant: Plant, library: Any) -> None:
    plant("get_facts", lambda _: "[]", times=1_000)
    for _ in range(MOST_REBUILDS):
        with pytest.raises(EngineFailed, match="outlived the call"):
            engine.fired(FACTS)
    with pytest.raises(EngineFailed, match=f"switched off after {MOST_REBUILDS} rebuilds, the last fault being"):
        engine.fired(FACTS)
    assert engine.rebuilds == MOST_REBUILDS


def test_set_that_cannot_be_freed_is_told(engine: Engine, plant: Plant, monkeypatch: pytest.MonkeyPatch) -> None:
    plant("assert_facts", broken)
    monkeypatch.setattr(plant.library, "delete_ruleset", broken)
    assert engine.fired(FACTS) == BOTH
    monkeypatch.undo()
    assert engine.fault == "ValueError: planted; not freed: planted"


def test_new_set_that_does_not_fire_its_first_rule_is_freed(library: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    made, freed = count_sets(
        library, monkeypatch, lambda text: text.replace('{"f0": {"c": "a"}}', '{"f0": {"c": "x"}}')
    )
    with pytest.raises(EngineFailed, match="did not fire first#0"):
        Engine(RULES)
    assert len(made) == 1
    assert freed == made


def test_closed_engine_gives_no_answer(engine: Engine) -> None:
    engine.close()
    engine.close()
    with pytest.raises(EngineFailed, match="closed"):
        engine.fired(FACTS)


def test_each_set_is_freed_once(library: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    made, freed = count_sets(library, monkeypatch, str)
    Engine([EngineRule(f"r{n}", ((f"c{n}",),), "f") for n in range(500)]).close()
    assert len(made) == 2
    assert freed == made


def count_sets(
    library: Any, monkeypatch: pytest.MonkeyPatch, change: Callable[[str], str]
) -> tuple[list[int], list[int]]:
    """The handles of sets as they are made, their text changed before, and as they are freed."""
    made: list[int] = []
    freed: list[int] = []
    create, delete = library.create_ruleset, library.delete_ruleset
    monkeypatch.setattr(
        library, "create_ruleset", lambda name, text: made.append(create(name, change(text))) or made[-1]
    )
    monkeypatch.setattr(library, "delete_ruleset", lambda handle: freed.append(handle) or delete(handle))
    return made, freed


@pytest.mark.parametrize("name", ["durable_rules_engine", "durable.engine"])
def test_missing_library_is_told(monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    monkeypatch.setitem(sys.modules, name, None)
    assert not available()
    with pytest.raises(EngineFailed, match=name):
        Engine(RULES)
