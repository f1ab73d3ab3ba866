"""Calculators of shapes and lengths: rings and their jets, bends, pipe cut to length, the weight of tube."""

from __future__ import annotations

from specc_plumbing.calc.bends import smallest_bend, smallest_bend_hard, smallest_bend_spring
from specc_plumbing.calc.cuts import pipe_cut, thread_engagement, tube_bore, tube_wall, tube_weight
from specc_plumbing.calc.rings import jet_area_ratio, jet_spacing, ring_length, slit_area_ratio

CALCULATORS = (
    ring_length,
    jet_spacing,
    jet_area_ratio,
    slit_area_ratio,
    smallest_bend,
    smallest_bend_hard,
    smallest_bend_spring,
    thread_engagement,
    pipe_cut,
    tube_bore,
    tube_wall,
    tube_weight,
)
