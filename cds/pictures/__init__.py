"""Pictures of an entry with its earlier ones, of growth, of a threshold; beside each the same as a text table.

What is drawn is told first, as plain frozen data (`model`); the SVG and the table are both made from that, so neither
says more than the other. Only `canvas` imports matplotlib, and only when something is drawn.
"""
