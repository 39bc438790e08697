"""How sure scale and heights are where they were measured with the printed aids of aids.py."""

from geometry.tolerance import Spread

BY_AIDS = Spread(scale_mm=0.23, action_mm=0.08, nut_height_mm=0.08)
"""What is left where scale and heights were measured with the printed aids. Common practice, and these sums of squares.

Scale: half a line of the strip, 0.14 mm of scale; its print checked over its length with a rule, 0.06 mm at the octave, so
0.12; its end at the nut and the fret's middle, 0.12 too. Heights: the wedge's two edges, each cut within 0.05, and half a
tick, 0.01. The height at the nut is less a tenth of the action.
"""
