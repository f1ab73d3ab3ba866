"""What is shared between passes cannot be changed by who reads it, however often it is handed on."""

from types import MappingProxyType
from typing import Any, NamedTuple

from specc.engine.guard import Fixed, read_only


class Holds(NamedTuple):
    things: Any


def test_what_is_known_to_be_fixed_is_handed_on_and_nothing_else_is():
    fixed: Fixed = {}
    plain = Holds((1, ("a", 2.0)))
    assert read_only(plain, fixed) is plain
    assert id(plain) in fixed

    listed = [1]
    for _ in range(2):  # a list that has grown since is looked into again
        made = read_only(Holds(({"own": listed}, plain)), fixed)
        assert made.things[0] == MappingProxyType({"own": tuple(listed)})
        assert made.things[1] is plain
        listed.append(2)


def test_no_tuple_that_holds_what_can_be_changed_is_taken_for_fixed():
    fixed: Fixed = {}
    holds = Holds([1])
    assert read_only(holds, fixed).things == (1,)
    assert id(holds) not in fixed
    holds.things.append(2)
    assert read_only(holds, fixed).things == (1, 2)
