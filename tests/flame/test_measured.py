"""Models against what was measured: gauges beside a propane burner, flames of a slot burner, gas over a burner.

Of Roper's slot burners (Combustion and Flame 29, 1977, 219 and 227) an abstract alone could be read: none of his
heights is checked here. Maryland's slot burner, below, stands for them.
"""

from __future__ import annotations

import pytest

from specc_flame.calc import envelope, flux, height, plume, reach
from specc_flame.calc.field import FlameSource
from specc_flame.calc.field import flux as field_flux
from specc_flame.calc.height import buoyant as mean_height
from specc_flame.calc.sources import BIAS, RADIATIVE

# Fleury, 0.3 m propane burner: kW/m2 at 0, 0.5, 1.0, 1.5 m, by heat and distance (firemodels/exp).
FLEURY = {
    100: {0.5: (6.25, 7.98, 3.39, 1.15), 1.0: (2.10, 2.55, 1.81, 0.99), 1.5: (1.12, 1.27, 1.08, 0.75),
          2.0: (0.72, 0.77, 0.71, 0.56)},
    200: {0.5: (7.44, 11.41, 7.88, 3.62), 1.0: (3.44, 4.54, 3.85, 2.38), 1.5: (1.99, 2.32, 2.17, 1.65),
          2.0: (1.28, 1.41, 1.37, 1.14)},
}  # fmt: skip


@pytest.mark.parametrize("kw", FLEURY)
def test_no_gauge_of_fleury_reads_more_than_the_envelope(kw: int) -> None:
    """The printed flux is an envelope: with the factor it lies above each gauge, worst height, to 2 m. The model alone
    does not, beyond 1 m: that is what the factor is owed to."""
    for x, gauges in FLEURY[kw].items():
        model = flux.flux_at_distance(kw * 1e3, x, 0, 0.32, 1).value / 1e3
        # 0.3385 m wide; the flame stands upright, and the envelope lays it at the gauge.
        s = FlameSource("burner", 0, 0, 0, kw * 1e3, height.flame_height(kw * 1e3, 0.3385).value)
        worst, printed = max(gauges), field_flux(s, x, 0.0) / 1e3
        print(
            f"{kw} kW, {x} m: worst gauge {worst:.2f}, point source {model:.2f} (gauge {worst / model:.2f} of it), "
            f"envelope {printed:.2f} (gauge {worst / printed:.2f} of it)"
        )
        assert 1.25 * model > worst
        assert printed > worst
    assert max(FLEURY[kw][2.0]) > flux.flux_at_distance(kw * 1e3, 2.0, 0, 0.32, 1).value / 1e3


# University of Maryland, slot burner 5 cm by 50 cm, propane, 49.2 kW by its flow, air with 20.8 % oxygen flowing beside
# (MaCFP/macfp-db, Extinction/UMD_Line_Burner: C3H8_A and C3H8_NA).
SLOT_HEAT, SLOT_LONG = 49.2e3, 0.5
SLOT_FLAMES = (0.622, 0.560)  # m, with the base held and without; 0.015 m uncertain
SLOT_RADIATED = (0.330, 0.015)  # share of the heat, and its uncertainty


def test_no_flame_of_the_slot_burner_is_longer_than_is_printed() -> None:
    """The line form gives 0.75 m, a fifth to a third more than measured, and says that it wants a longer line; the slit
    counts as one point then, which gives 1.1 m: twice as much, the safe side."""
    line = height.line_flame(SLOT_HEAT, SLOT_LONG)
    assert line.value == pytest.approx(0.747, abs=0.002)
    assert line.beyond
    flow = SLOT_HEAT / envelope.NET
    printed = envelope.outlet_flame(SLOT_HEAT, flow, 10.0, 1.0, 0.0, SLOT_LONG)
    assert printed.value == reach.flame_of(SLOT_HEAT, flow, 10.0, 1, 0.0, SLOT_LONG).length
    for measured in SLOT_FLAMES:
        assert line.value > measured + 0.015
        assert measured + 0.015 < printed.value < 2.1 * measured


def test_the_radiated_share_covers_that_of_the_slot_burner() -> None:
    """0.33 +- 0.015 of the heat; 0.32 alone is a little less, and the factor for the bias makes it 0.40."""
    share, spread = SLOT_RADIATED
    assert share - spread <= RADIATIVE.si <= share + spread
    assert RADIATIVE.si * BIAS.si > share + spread


# McCaffrey, 22 kW of natural gas from 0.3 m: heights in m on the axis of contours of 100 to 800 K (firemodels/exp,
# McCaffrey_22kW.csv, read off his figure).
CONTOURS = {100: 1.356, 200: 0.892, 300: 0.701, 400: 0.550, 500: 0.441, 600: 0.365, 700: 0.312, 800: 0.264}


@pytest.mark.parametrize("rise", CONTOURS)
def test_gas_is_no_hotter_than_mccaffrey_s_form_where_he_measured(rise: int) -> None:
    """Taken as rises over the air, the form gives 5 to 9 % more; taken as degrees Celsius it would give still more."""
    given = plume.mccaffrey(22e3, CONTOURS[rise], 293.15).value - 293.15
    assert 1.0 < given / rise < 1.1
    assert plume.hottest(22e3, CONTOURS[rise], 293.15) - 293.15 >= given - 1e-9


def test_the_hottest_of_two_forms_is_that_of_both_to_the_last_digit() -> None:
    for heat in (900.0, 22e3, 1.3e6):
        for air in (250.0, 293.15, 310.0):
            for n in range(1, 200):
                height = 0.03 * n * (heat / 1e3) ** 0.4
                both = [plume.axis_temperature(heat, height, air)[0]]
                if height > mean_height(heat):
                    both.append(plume.plume_temperature(heat, height, air=air).value)
                assert plume.hottest(heat, height, air) == max(both)
