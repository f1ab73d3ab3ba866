"""Outlets and the lines that feed them: flow, pressure, heat, evenness, and what a failed regulator does."""
