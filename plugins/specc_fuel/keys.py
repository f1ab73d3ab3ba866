"""The fuel plugin's figures, by key. Those that other plugins read stand in specc.kinds.gas."""

from __future__ import annotations

from specc import Figure, FigureSet, Key
from specc.kinds.plumbing import Part

CYLINDERS: Key[tuple[Part, ...]] = Key("fuel.cylinders", tuple)
GAS_ON_SITE: Key[Figure] = Key("fuel.gas_on_site", Figure)
GAS_ON_SITE_LIQUID: Key[Figure] = Key("fuel.gas_on_site_liquid", Figure)
SCENE_GAS: Key[FigureSet] = Key("fuel.scene_gas", dict)
NIGHT_GAS: Key[Figure] = Key("fuel.gas_each_night", Figure)
SHOW_GAS: Key[Figure] = Key("fuel.gas_for_the_show", Figure)
DRAW: Key[Figure] = Key("fuel.draw", Figure)
DRAW_HEAT: Key[Figure] = Key("fuel.draw_heat", Figure)
RUN_TIME: Key[FigureSet] = Key("fuel.run_time", dict)
CYLINDERS_NEEDED: Key[Figure] = Key("fuel.cylinders_needed", Figure)
BOIL_OFF: Key[FigureSet] = Key("fuel.boil_off", dict)
BOIL_OFF_ALL: Key[Figure] = Key("fuel.boil_off_together", Figure)
JET_AREA: Key[FigureSet] = Key("fuel.jet_area", dict)
LATENT_HEAT: Key[Figure] = Key("fuel.latent_heat", Figure)
VAPOUR_DENSITY: Key[Figure] = Key("fuel.vapour_density", Figure)
