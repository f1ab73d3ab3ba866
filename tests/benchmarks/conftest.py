"""Benchmarks read a clock, so a busy machine can fail them: they run in a step of their own, one at a time."""

from pathlib import Path

import pytest


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    here = Path(__file__).parent
    for item in items:
        if item.path.is_relative_to(here):
            item.add_marker("benchmark")
