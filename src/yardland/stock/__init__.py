"""Flocks, herds and hives at steady numbers: whole heads, needs, products, events."""
