"""
Cases tried in processes of their own, so that one that dies, hangs or takes all memory is a finding.

Needs `fork`, and /proc for the memory of each case: Linux.
"""

import json
import os
import resource
import signal
import time
import traceback
from collections.abc import Callable, Iterator
from multiprocessing import get_context
from multiprocessing.queues import SimpleQueue
from pathlib import Path
from typing import Any, Final, NamedTuple

Trial = Callable[[int], str]
"""Gives the outcome of a case by its number; an exception is a finding."""

MOST_SECONDS: Final = 5
"""Of processor time: a machine that does other things too makes no findings."""
MOST_BYTES: Final = 2**30
"""Of memory for the whole process, and of address space beyond what the imported program has."""
_AT_ONCE: Final = 200
"""Cases of one process: the memory of a process that has come far says little about one case."""
_PATIENCE_SECONDS: Final = 120
"""A case that takes so long by the clock is stopped whatever its processor time: it may wait for ever."""


class Result(NamedTuple):
    """What became of a case."""

    number: int
    outcome: str
    """What the trial gave, or how it failed in one line."""
    failed: bool
    seconds: float
    bytes: int
    details: str = ""


def results(trial: Trial, numbers: range, workers: int) -> Iterator[Result]:
    """What became of each case; in no particular order where there are several workers."""
    if workers == 1:
        yield from _results(trial, numbers)
        return
    context = get_context("fork")
    queue: SimpleQueue[Result] = context.SimpleQueue()
    shares = [numbers[k::workers] for k in range(workers)]
    lanes = [context.Process(target=_send, args=(trial, share, queue), daemon=False) for share in shares]
    for lane in lanes:
        lane.start()
    for _ in numbers:
        yield queue.get()
    for lane in lanes:
        lane.join()


def _send(trial: Trial, numbers: range, queue: "SimpleQueue[Result]") -> None:
    for result in _results(trial, numbers):
        queue.put(result)


def _results(trial: Trial, numbers: range) -> Iterator[Result]:
    """Results in order; after a case that ended its process another process takes the rest."""
    done = 0
    while done < len(numbers):
        some = numbers[done : done + _AT_ONCE]
        reading, writing = os.pipe()
        child = os.fork()
        if not child:
            os.close(reading)
            _try_all(trial, some, writing)
        os.close(writing)
        told = 0
        with os.fdopen(reading, encoding="utf-8") as lines:
            for line in lines:
                told += 1
                yield Result(*json.loads(line))
        _, status = os.waitpid(child, 0)
        if told < len(some):
            yield Result(some[told], _end_of(status), True, float(MOST_SECONDS), 0)
            told += 1
        done += told


def _end_of(status: int) -> str:
    """How a process ended that should not have."""
    if not os.WIFSIGNALED(status):
        return f"exit {os.waitstatus_to_exitcode(status)}"
    number = os.WTERMSIG(status)
    if number == signal.SIGPROF:
        return f"more than {MOST_SECONDS} s"
    return signal.Signals(number).name


def _try_all(trial: Trial, numbers: range, writing: int) -> None:
    """The life of a child; it ends here, whatever happens."""
    status = 1
    try:
        resource.setrlimit(resource.RLIMIT_AS, (_memory("VmSize") + MOST_BYTES,) * 2)
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        with os.fdopen(writing, "w", encoding="utf-8") as lines:
            for number in numbers:
                lines.write(json.dumps(_tried(trial, number)) + "\n")
                lines.flush()
        status = 0
    finally:
        os._exit(status)


def _tried(trial: Trial, number: int) -> Result:
    """One case. Too much time kills the process by a signal, as no Python runs within a long call of C."""
    Path("/proc/self/clear_refs").write_text("5", encoding="ascii")  # forget the peak
    signal.setitimer(signal.ITIMER_PROF, MOST_SECONDS)
    signal.alarm(_PATIENCE_SECONDS)
    begin = time.process_time()
    outcome, failed, details = "", False, ""
    try:
        outcome = trial(number)
    except Exception as defect:  # noqa: BLE001 - whatever is raised here is what is looked for
        details = traceback.format_exc()
        where = traceback.extract_tb(defect.__traceback__)[-1]
        outcome, failed = f"{type(defect).__name__} in {Path(where.filename).name}:{where.name}", True
    seconds = time.process_time() - begin
    signal.setitimer(signal.ITIMER_PROF, 0)
    peak = _memory("VmHWM")
    if peak > MOST_BYTES and not failed:
        outcome, failed = f"more than {MOST_BYTES >> 20} MiB", True
    return Result(number, outcome, failed, seconds, peak, details)


def _memory(name: str) -> int:
    status: dict[str, Any] = dict(
        line.split(":", 1) for line in Path("/proc/self/status").read_text(encoding="ascii").splitlines()
    )
    return int(status[name].split()[0]) * 1024
