"""Handbook tables as CSV: every figure has a source and a standing, and the user's own figures go over them."""

from yardland.reference.figure import STANDINGS, Figure, Override
from yardland.reference.tables import Row, Tables, load_tables
from yardland.reference.why import Why, explain

__all__ = ["STANDINGS", "Figure", "Override", "Row", "Tables", "Why", "explain", "load_tables"]
