"""Draws the demo boards of `netlists/` as KiCad schematics, from designs of our own.

``python -m tests.drawing`` redraws them all. A design says twice what joins
what: once as intended nets (`design`), once as wires, labels and buses on a
sheet (`cell`). KiCad's own netlist of the sheet must equal the intended nets.
"""
