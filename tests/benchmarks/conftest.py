"""Benchmarks read a clock, so a busy machine can fail them: they run in a step of their own, one at a time."""

from pathlib import Path

import pytest


def pytest_ignore_collect(config: pytest.Config) -> bool | None:
    """Where they are left out they are not read either, nor the libraries that they compare with."""
    return True if config.option.markexpr == "not benchmark" else None


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    here = Path(__file__).parent
    for item in items:
        if item.path.is_relative_to(here):
            item.add_marker("benchmark")
