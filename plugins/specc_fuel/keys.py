"""The fuel plugin's figures, by key. Those that other plugins read stand in specc.kinds.gas."""

from __future__ import annotations

from collections.abc import Mapping

from specc import Figure, FigureSet, Key, Worked
from specc.kinds.plumbing import Part

CYLINDERS: Key[tuple[Part, ...]] = Key("fuel.cylinders", tuple)
GAS_ON_SITE_LIQUID: Key[Figure] = Key("fuel.gas_on_site_liquid", Figure)
SCENE_GAS: Key[FigureSet] = Key("fuel.scene_gas", dict)
SHOW_GAS: Key[Figure] = Key("fuel.gas_for_the_show", Figure)
DRAW: Key[FigureSet] = Key("fuel.draw", dict)
DRAW_HEAT: Key[FigureSet] = Key("fuel.draw_heat", dict)
SUPPLY_GAS: Key[FigureSet] = Key("fuel.supply_gas", dict)
CYLINDERS_NEEDED: Key[FigureSet] = Key("fuel.cylinders_needed", dict)
BOIL_OFF: Key[FigureSet] = Key("fuel.boil_off", dict)
BOIL_OFF_ALL: Key[FigureSet] = Key("fuel.boil_off_together", dict)
FEED_PRESSURE: Key[FigureSet] = Key("fuel.feed_pressure", dict)
JET_AREA: Key[FigureSet] = Key("fuel.jet_area", dict)
STORE_PRESSURE: Key[FigureSet] = Key("fuel.store_pressure", dict)
STORE_CONTENT: Key[FigureSet] = Key("fuel.store_content", dict)
FEED_FLOW: Key[FigureSet] = Key("fuel.feed_flow", dict)
FEED_AREA: Key[FigureSet] = Key("fuel.feed_area", dict)
CHARGE_TIME: Key[FigureSet] = Key("fuel.charge_time", dict)
WAY_OUT: Key[FigureSet] = Key("fuel.way_out", dict)
BURST: Key[FigureSet] = Key("fuel.burst_gas", dict)
CADENCE: Key[FigureSet] = Key("fuel.burst_cadence", dict)
FIRST_FILL: Key[Figure] = Key("fuel.first_fill", Figure)
DEW_PRESSURE: Key[Figure] = Key("fuel.dew_pressure", Figure)
WARMEST_SUPPLY: Key[Figure] = Key("fuel.warmest_supply", Figure)
AT_REST: Key[FigureSet] = Key("fuel.lock_up_pressure", dict)
HIGHEST_SETTING: Key[FigureSet] = Key("fuel.highest_setting", dict)
KEPT_FLOW: Key[FigureSet] = Key("fuel.kept_flow", dict)
DRAWN_DOWN: Key[FigureSet] = Key("fuel.drawn_down", dict)
EVENNESS: Key[FigureSet] = Key("fuel.evenness", dict)
SUPPLY_LOWEST: Key[FigureSet] = Key("fuel.supply_lowest", dict)
LIQUID_COLDEST: Key[FigureSet] = Key("fuel.liquid_coldest", dict)
STILL_AIR: Key[FigureSet] = Key("fuel.still_air_boil_off", dict)
LATENT_HEAT: Key[Figure] = Key("fuel.latent_heat", Figure)
VAPOR_DENSITY: Key[Figure] = Key("fuel.vapor_density", Figure)

SUPPLIES: Key[Mapping[str, tuple[Part, ...]]] = Key("fuel.supplies", dict)
"""The cylinders of each supply. A supply is called by its first cylinder; one that no run leaves from is in none."""

SHARES: Key[Mapping[str, Mapping[str, Worked]]] = Key("fuel.shares", dict)
"""By outlet: of its gas, the share that each supply gives, in the weather case."""
