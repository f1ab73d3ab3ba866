"""What the tones of a drawing look like, and how thick a point is: one table for SVG and PDF."""

from __future__ import annotations

from specc.drawing.shapes import Tone

MM_PER_POINT = 25.4 / 72.0

# Gray first; the one accent is for what needs a decision. The accent is dark enough to read in a gray print.
COLORS: dict[Tone, str] = {
    "ink": "#1f1f1f",
    "gray": "#6b6b6b",
    "pale": "#c8c8c8",
    # Behind lines: black on the darkest still reads in a gray print, and the lightest is told from paper.
    "shade": "#c4c4c4",
    "haze": "#dadada",
    "tint": "#ececec",
    "accent": "#b3441f",
    "white": "#ffffff",
}

# Where ours is not there, faces that are about as narrow, before whatever a viewer takes.
FONTS = '"Source Sans Pro", "Source Sans 3", "Liberation Sans", Arial, Helvetica, "DejaVu Sans Condensed", sans-serif'
