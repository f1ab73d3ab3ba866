"""What a field of a spec may be: every dimension's ends are told, and absurd values are found at their lines."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from specc.dims import DIMENSIONS
from specc.engine.road import composed_schema
from specc.measure.reading import parse
from specc.model.values import Quantity
from specc.spec.judge import judge
from specc.spec.ranges import USUAL, out_of_range
from specc.testing import findings_of, project

SCHEMA = composed_schema()


def measured(schema: Any, at: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Each field with a dimension, with the pointer of where it stands in the schema."""
    if isinstance(schema, dict):
        if "x-dimension" in schema:
            yield at, schema
        for key, below in schema.items():
            yield from measured(below, f"{at}/{key}")
    elif isinstance(schema, list | tuple):
        for i, below in enumerate(schema):
            yield from measured(below, f"{at}/{i}")


FIELDS = dict(measured(SCHEMA))


@pytest.mark.parametrize(
    ("text", "dim", "field", "said"),
    [
        ("3000 mi", "length", {}, "at most 65,600 ft"),
        ("-3000 mi", "length", {"x-signed": True}, "at least -65,600 ft and at most 65,600 ft"),
        ("1e-6 in", "length", {"x-above": 0}, "at least 0.000394 in"),
        ("0 in", "length", {"x-above": 0}, "more than 0 and at most 65,600 ft"),
        ("0 in", "length", {}, ""),
        ("0 K", "temperature", {}, "at least -154 °F"),
        ("-1 °F", "temperature", {"x-above": 273.15}, "more than 32 °F and at most 4040 °F"),
        ("5000000 V", "voltage", {"x-above": 0}, "more than 0 and at most 100,000 V"),
        ("100000 psi", "gauge_pressure", {}, "at most 21,800 psig"),
        ("50 km", "length", {"x-most": 1e5}, ""),
        ("200 deg", "angle", {"x-most": 3.1415927}, "at most 180 deg"),
        ("8.5", "ratio", {"x-above": 0, "x-most": 1}, "more than 0 and at most 1"),
        ("30 d", "duration", {}, ""),
        ("9000000", "count", {}, ""),
    ],
)
def test_an_end_of_a_range_is_told_as_one_would_write_it(text: str, dim: str, field: dict[str, Any], said: str) -> None:
    read = parse(text, dim, signed="x-signed" in field)
    assert isinstance(read, Quantity)
    assert out_of_range(read, field) == said


def test_ranges_lie_within_what_is_read_and_end_at_the_usual_things() -> None:
    assert set(USUAL) <= set(DIMENSIONS)
    for dim, ends in USUAL.items():
        for end in ends:
            read = parse(f"{end:g} {DIMENSIONS[dim].si}" + (" abs" if dim == "absolute_pressure" else ""), dim)
            assert isinstance(read, Quantity), (dim, read)
            assert out_of_range(read._replace(si=end), {}) == "", dim


@pytest.mark.parametrize("at", FIELDS)
def test_every_measured_field_refuses_what_no_device_has(at: str) -> None:
    """A field of a dimension without a usual range, such as a count, has bounds of its own or a rule that counts."""
    field = FIELDS[at]
    dim = field["x-dimension"]
    unit = "" if dim in ("ratio", "count") else " " + DIMENSIONS[dim].si
    least, most = USUAL.get(dim, (0.0, 1e7))
    for size in (most * 1.5, least / 2 if dim in USUAL else 1e8):
        text = f"{size:g}{unit}"
        assert judge(field, text).refusals or dim == "count", (at, text)


@pytest.mark.parametrize("at", [at for at, field in FIELDS.items() if field["x-dimension"] == "temperature"])
def test_no_field_takes_absolute_zero_for_a_temperature(at: str) -> None:
    assert judge(FIELDS[at], "0 K").refusals


def test_what_a_part_withstands_is_above_freezing(tmp_path: Path) -> None:
    base = "format: 1\nproject: {title: T}\nflame: {hottest: {v1: -1 °F}}\n"
    found = findings_of(project(tmp_path, base), "spec.quantity")
    assert [(f.message, f.place.line) for f in found] == [("-1 °F is out of range", 3)]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("flame: {hottest: {nosuch: 300 °F}}", "there is no part 'nosuch'"),
        ("site: {hoses: {nosuch: {way: []}}}", "there is no part 'nosuch'"),
        ("things: {roof: {distance: {nosuch: 3 ft}}}", "there is no part, effect, place or thing 'nosuch'"),
        ("things: {roof: {above: {nosuch: 3 ft}}}", "there is no part, effect, place or thing 'nosuch'"),
        ("things: {roof: {above: {roof: 3 ft}}}", ""),
    ],
)
def test_what_is_told_of_a_tag_that_is_not_there_is_found_at_the_tag(tmp_path: Path, text: str, said: str) -> None:
    """A slip in the tag, and the distance or the rating was read by nobody."""
    found = findings_of(project(tmp_path, f"format: 1\nproject: {{title: T}}\n{text}\n"), "spec.value")
    told = [(f.message, f.place.line, f.place.column) for f in found if "there is no" in f.message]
    assert told == ([(said, 3, text.index("nosuch") + 1)] if said else [])
