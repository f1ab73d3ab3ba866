"""Agents by the names that labels have: the types of extinguisher that throw them, and what fires they are for."""

from __future__ import annotations

from typing import NamedTuple

from specc import Trouble, Unchecked
from specc_extinguishers.units import ListedUnit

_DRY = ("stored_pressure_dry_chemical", "cartridge_dry_chemical")


class Agent(NamedTuple):
    """`classes`: the letters a rating may have: NFPA 10, classification of agents, from memory."""

    names: tuple[str, ...]
    types: tuple[str, ...]
    classes: str


AGENTS = (
    Agent(("water",), ("stored_pressure_water", "wetting_agent", "loaded_stream"), "A"),
    Agent(
        ("monoammonium phosphate", "mono ammonium phosphate", "ammonium phosphate", "abc powder", "abc dry chemical"),
        _DRY,
        "ABC",
    ),
    Agent(
        ("sodium bicarbonate", "potassium bicarbonate", "potassium chloride", "bc powder", "bc dry chemical"),
        _DRY,
        "BC",
    ),
    Agent(("carbon dioxide", "co2"), ("carbon_dioxide",), "BC"),
    Agent(("potassium acetate", "potassium citrate", "potassium carbonate"), ("wet_chemical",), "AK"),
    Agent(("foam", "afff", "fffp", "film-forming foam", "aqueous film-forming foam"), ("foam",), "AB"),
    Agent(("sodium chloride", "graphite", "copper powder"), ("dry_powder",), "D"),
)


def _agent_of(unit: ListedUnit) -> tuple[str, Agent | None]:
    """What the unit throws, as typed, and what is known of it."""
    name = " ".join(unit.spec.text_or("agent").lower().replace("_", " ").split())
    return name, next((one for one in AGENTS if name in one.names), None)


def unknown_agent(unit: ListedUnit) -> Unchecked | None:
    """Of powders only some are for ordinary solids: a rating for them stands or falls with the name."""
    name, agent = _agent_of(unit)
    if agent is not None or unit.rating is None or not unit.rating.a or unit.type not in _DRY:
        return None
    told = f"{name}, what {unit.tag} throws, is not on the list" if name else f"what {unit.tag} throws is not stated"
    return Unchecked(f"{told}, so whether it is for ordinary solids (agent:)", unit.at("agent"))


def wrong_agent(unit: ListedUnit) -> Trouble | None:
    """What an agent whose name is known says against the unit's type or rating."""
    name, agent = _agent_of(unit)
    if agent is None or unit.rating is None:
        return None
    if unit.type not in agent.types:
        fits = " or ".join(t.replace("_", " ") for t in agent.types)
        said, right = (
            f"of type {unit.type.replace('_', ' ')}, and throws {name}",
            f"the type that throws {name}: {fits}",
        )
    else:
        has = {c for c, there in (("A", unit.rating.a), ("B", unit.rating.b)) if there} | set(unit.rating.letters)
        if has <= set(agent.classes):
            return None
        said = f"rated {unit.rated}, and {name} is for {' and '.join(agent.classes)} only"
        right = "the rating or the agent that the label gives"
    return Trouble(
        unit.at("agent"),
        f"{unit.tag} is {said}",
        right,
        "the agent, the type or the rating is not the label's, and somebody relies on it at a fire it is not for",
    )
