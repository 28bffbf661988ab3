"""Time callables beside each other in one process, in processor time.

Takes named callables; gives the times of each, sorted. Every round runs each of them, so what disturbs the machine
disturbs all alike. The cost of reading the clock is taken off. Says nothing about what a time means.
"""

from __future__ import annotations

import gc
import os
from collections.abc import Callable, Mapping, Sequence
from subprocess import DEVNULL, Popen
from time import process_time_ns

Call = Callable[[], object]
Times = Sequence[float]


def beside(calls: Mapping[str, Call], rounds: int, in_a_row: int = 1) -> dict[str, list[float]]:
    """The times of each call in nanoseconds of processor time, sorted; garbage collection stays on.

    Args:
        in_a_row: how often each is called before the next: with one, each finds the processor's caches full of the
            others' work, which a short call pays for most.
    """
    times: dict[str, list[float]] = {name: [] for name in calls}
    clock = _clock_cost()
    gc.collect()
    for _ in range(rounds):
        for name, call in calls.items():
            times[name] += [max(_once(call) - clock, 1) for _ in range(in_a_row)]
    return {name: sorted(each) for name, each in times.items()}


def _once(call: Call) -> int:
    begin = process_time_ns()
    call()
    return process_time_ns() - begin


def _clock_cost() -> int:
    return sorted(_once(lambda: None) for _ in range(1001))[500]


def percentile(times: Times, percent: int) -> float:
    """The time that so many per cent of the times do not exceed."""
    return times[min(len(times) * percent // 100, len(times) - 1)]


def commands(named: Mapping[str, Sequence[str]], rounds: int) -> dict[str, list[float]]:
    """Processor time, in nanoseconds, of commands run to their end, beside each other; sorted."""
    times: dict[str, list[float]] = {name: [] for name in named}
    for _ in range(rounds):
        for name, command in named.items():
            times[name].append(_child(command))
    return {name: sorted(each) for name, each in times.items()}


def _child(command: Sequence[str]) -> float:
    process = Popen(command, stdout=DEVNULL)
    _, status, usage = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise RuntimeError(f"{command[0]} ended with {process.returncode}")
    return 1e9 * (usage.ru_utime + usage.ru_stime)
