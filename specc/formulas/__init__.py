"""Equations as text that can be evaluated and typeset, and the calculators that carry one."""
