"""What plugins add to the packet beside their sections."""

from __future__ import annotations

from specc.model.blocks import Caution, Fact, ModelLimit
from specc.model.passes import Gathered

SUMMARY_FACTS: Gathered[Fact] = Gathered("packet.summary_facts", Fact)
"""Large numbers on the reviewer's page."""

DECISIONS: Gathered[str] = Gathered("packet.decisions", str)
"""Questions to the authority that no single rule asks; they stand on the reviewer's page."""

CAUTIONS: Gathered[Caution] = Gathered("packet.cautions", Caution)
"""What a reader has to be warned of, each with its source; a part of the packet lists them."""

MODEL_LIMITS: Gathered[ModelLimit] = Gathered("packet.model_limits", ModelLimit)
"""What each model leaves out."""
