"""Hazards of crops and trees: hail, pests, disease, vermin and birds as seeded yearly draws (docs/growth-hazards.md)."""
