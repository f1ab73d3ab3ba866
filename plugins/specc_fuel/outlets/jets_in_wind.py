"""The pressure at the jets beside that of the wind: what is known of a flame's hold until flames are computed."""

from __future__ import annotations

from specc import Citation, Context, Verdict, not_applicable, not_checked, rule, show
from specc.kinds.gas import JET_PRESSURE
from specc.kinds.weather import AIR_PRESSURE, CASES
from specc.model.wording import counted
from specc_fuel.calc.sources import R_PAPER

_STAGNATION = Citation(
    "cengel-cimbala", "stagnation pressure, half the density times the square of the speed", "memory"
)
_AIR = 0.0289652  # kg/mol, US Standard Atmosphere 1976


@rule(
    "fuel.jets_in_wind",
    level="note",
    statement="The pressure at each outlet's jets is set against that of the stop wind; whether a flame holds is not "
    "computed",
    source=_STAGNATION,
    needs=(JET_PRESSURE, AIR_PRESSURE, CASES),
    reads=("weather",),
)
def jets_in_wind(ctx: Context) -> Verdict:
    """Never passed: a flame may hold at less, behind a shield or at a pilot, and go out at more."""
    lowest = {tag: min(c.worked.si for c in figure.cases) for tag, figure in ctx[JET_PRESSURE].items()}
    if not lowest:
        return not_applicable("no outlet burns")
    stop = ctx.spec("weather").child("wind").quantity_or_none("stop")
    if stop is None:
        return not_checked("the wind at which the show stops is not stated (weather: wind: stop:)")
    cases = ctx[CASES]
    coldest = min(case.air.si for case in cases)
    wind = 0.5 * ctx[AIR_PRESSURE].si * _AIR / (R_PAPER.si * coldest) * stop.si**2

    def psi(si: float) -> str:
        return show(si, "gauge_pressure", "psig", 2)

    weak = {tag: p for tag, p in lowest.items() if p < wind}
    said = ", ".join(f"{tag} {psi(p)}" for tag, p in sorted(weak.items(), key=lambda item: item[1])[:6])
    words = f"a wind of {stop.text} presses with {psi(wind)}, and "
    if not weak:
        return not_checked(
            f"{words}more stands behind the jets of {counted(len(lowest), 'outlet')}; whether a flame holds is shown "
            "by test, until flames are computed"
        )
    others = f" and of {len(weak) - 6} more" if len(weak) > 6 else ""
    return not_checked(
        f"{words}less stands behind the jets of {said}{others}: show by test, a shield or a pilot that they stay lit"
    )


PASSES = (jets_in_wind,)
