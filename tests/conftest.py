"""Property tests try the same cases in every run, so that one commit is either green or not.

Search for new ones with another seed: HYPOTHESIS_PROFILE=search pytest --hypothesis-seed=N.
"""

import gc
import os
import re
import shutil
import sys
import tempfile
from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

sys.path.insert(0, str(Path(__file__).parent))

from specc.engine import remembered
from specc.model.result import Result

# No clock decides: on a busy machine an example takes as long as it takes.
settings.register_profile("repeat", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("search", settings.get_profile("repeat"), derandomize=False, print_blob=True)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "repeat"))

# The command line runs without looking for garbage. Here what piles up over thousands of tests is looked for, but
# seldom, and never again among the modules: with Python's own setting that took an eighth of all.
gc.set_threshold(1_000_000, 50, 100)


# What tests write goes to memory where there is much of it: each file that is taken away, or made safe on a disk as
# specc does with a packet, makes a test wait for the disk.
MEMORY = Path("/dev/shm")


def pytest_configure(config: pytest.Config) -> None:
    """Files go to the workers in the order of their names, the doctests of the sources last: many of a few milliseconds
    each, so that no worker waits for the other. xdist's own order, by count, ends with few tests that take long."""
    config.option.loadscopereorder = False
    if "TMPDIR" not in os.environ and MEMORY.is_dir() and shutil.disk_usage(MEMORY).free > 2**30:
        os.environ["TMPDIR"] = str(MEMORY)
        tempfile.tempdir = None  # looked up anew


def pytest_collection_finish() -> None:
    gc.freeze()


def pytest_sessionfinish() -> None:
    gc.freeze()  # as it ends, pytest itself looks for garbage twice: by now among millions of things


@pytest.fixture(scope="session", autouse=True)
def bytecode_for_children(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Processes that tests start keep their bytecode in a folder of the session, whatever the environment says:
    without it each compiles all of specc anew, which takes it longer than what it is started for."""
    own = tmp_path_factory.getbasetemp()
    shared = own.parent if "PYTEST_XDIST_WORKER" in os.environ else own  # by all workers of this session
    with pytest.MonkeyPatch.context() as patch:
        patch.delenv("PYTHONDONTWRITEBYTECODE", raising=False)
        patch.setenv("PYTHONPYCACHEPREFIX", str(shared / "bytecode"))
        yield


_NUMBERS = count()


@pytest.fixture
def tmp_path(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder of each test's own, as pytest's. That one also keeps a link beside it to the newest folder of each
    name, made anew at each test: nobody follows it, and a disk may take milliseconds to take a link away."""
    name = re.sub(r"\W", "_", request.node.name)[:30]
    folder = tmp_path_factory.getbasetemp() / f"{name}{next(_NUMBERS)}"
    folder.mkdir(mode=0o700)
    return folder


@pytest.fixture(autouse=True)
def nothing_remembered_beside_what_is_replaced(request: pytest.FixtureRequest) -> Iterator[None]:
    """A test that puts something else in the place of a function sees each pass call it, and leaves nothing of it."""
    if "monkeypatch" not in request.fixturenames:
        yield
        return
    remembered.forget()
    yield
    remembered.forget()


Complete = Callable[[str], Result]


@pytest.fixture(scope="session")
def complete() -> Complete:
    """The whole Result of a sample project, by its name. It is worked out once for all tests that only read it."""
    from sample_packets import complete  # what prints is loaded by tests that read what is printed

    return complete
