"""Comparison of the reference tables with the text of the published guide."""
