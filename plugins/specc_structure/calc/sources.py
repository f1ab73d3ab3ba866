"""Citations that several calculators of this package share; the ids are told in references.yaml."""

from __future__ import annotations

from specc.model.values import Citation

STATICS = Citation("beer-johnston", "moments, friction and the equilibrium of a rigid body; page not read", "memory")
FACTOR = Citation("overturning-sheets", "factor 1.5 against overturning and sliding, as city sheets ask", "read")
