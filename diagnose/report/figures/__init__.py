"""Drawings of an answer as SVG, each with a text that says the same. Colour is never the only
mark: sides, shapes, stripes and words carry it too.
"""
