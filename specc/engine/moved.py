"""Where the names went that a plugin made for an earlier specc may still import."""

from __future__ import annotations

import ast
import traceback

import specc

# Modules that plugins had no other way to reach; what is public is imported from specc itself.
MODULES = {
    "specc.air": "specc.basics.air",
    "specc.basics": "specc.basics",
    "specc.blocks": "specc.model.blocks",
    "specc.calculators": "specc.formulas.calculators",
    "specc.equations": "specc.formulas.equations",
    "specc.graph": "specc.engine.graph",
    "specc.host": "specc.engine.host",
    "specc.limits": "specc.engine.limits",
    "specc.model": "specc.model.values, specc.model.findings or specc.model.result",
    "specc.nights": "specc.basics.nights",
    "specc.passes": "specc.model.passes",
    "specc.privacy": "specc.spec.privacy",
    "specc.quantities": "specc.measure.reading or specc.measure.printing",
    "specc.resources": "specc.spec.resources",
    "specc.road": "specc.engine.road",
    "specc.run": "specc.engine.run",
    "specc.schema": "specc.spec.schema",
    "specc.sound": "specc.engine.type_check",
    "specc.source": "specc.spec.source",
    "specc.tolerances": "specc.engine.tolerances",
    "specc.units": "specc.measure.units",
    "specc.vcs": "specc.spec.git",
    "specc.view": "specc.model.view",
    "specc.waivers": "specc.engine.waivers",
}
NAMES = {("specc.kinds.plumbing", "CATALOGUE"): "CATALOG"}


def told(error: BaseException) -> str:
    """What to import in place of what a plugin asked for in vain, or "" for an error of another kind."""
    if not isinstance(error, ImportError) or error.name is None:
        return ""
    module, name = error.name, _asked_for(error)
    if (module, name) in NAMES:
        return f"{module}.{name} moved: from {module} import {NAMES[module, name]}"
    if module not in MODULES:
        return ""
    if name in specc.__all__:
        return f"{module} moved: from specc import {name}"
    return f"{module} moved: what is public is in specc; this is now in {MODULES[module]}"


def _asked_for(error: ImportError) -> str:
    """The name in the line `from MODULE import NAME` that failed, or "": the error itself does not say it."""
    # Python's own importing has file names such as <frozen importlib._bootstrap>.
    asking = [f for f in traceback.extract_tb(error.__traceback__) if not f.filename.startswith("<")]
    try:
        (statement,) = ast.parse((asking[-1].line if asking else "") or "pass").body
    except (SyntaxError, ValueError):
        return ""
    return statement.names[0].name if isinstance(statement, ast.ImportFrom) and len(statement.names) == 1 else ""
