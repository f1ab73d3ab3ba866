"""Accumulators: what they hold, how fast they fill, what a burst lets out."""
