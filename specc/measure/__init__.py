"""Measured values: the table of units, reading what people write, printing it."""
