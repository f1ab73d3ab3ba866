"""Takes several specs down the road over the processor's cores. What comes out, and its order, is as one by one."""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Iterator, Sequence

from specc.engine import watch
from specc.engine.road import Ask, travel
from specc.model.result import Result


def results(paths: Sequence[str], overlay: Sequence[str], ask: Ask) -> Iterator[Result]:
    """The Result of each spec, in order, each as soon as it and those before it are there."""
    workers = 1 if "-" in paths else min(_cores(), len(paths))  # standard input is this process's alone
    done = 0
    if workers > 1:
        from concurrent.futures import ProcessPoolExecutor
        from concurrent.futures.process import BrokenProcessPool

        sys.stdout.flush()  # what is held back here would be printed by each worker again
        pool = ProcessPoolExecutor(workers, initializer=_begin, initargs=(watch.is_on(),))
        waits = True
        try:
            for result in pool.map(travel, paths, [overlay] * len(paths), [ask] * len(paths)):
                yield result
                done += 1
        except BrokenProcessPool:
            pass  # a plugin ended its process, or does not end: the rest one by one, where it is caught and named
        except KeyboardInterrupt:
            waits = False  # whoever stops it does not wait for the specs that are under way
            raise
        finally:
            # Let go at once, as when the reader has gone, its pipes may be closed a second time when Python leaves,
            # which prints that. The specs under way are waited for, those behind them are not begun.
            pool.shutdown(wait=waits, cancel_futures=True)
    for path in paths[done:]:
        yield travel(path, overlay, ask)


def _cores() -> int:
    """The cores that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def _begin(watched: bool) -> None:
    """Begin a worker: Ctrl-C is left to the first process, and a watchdog of its own ends it without a word."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if watched:
        watch.start(quiet=True)
