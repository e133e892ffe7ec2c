"""Chains of larder years without a crystal ball: what is drawn, what is decided month by month, and how often it is enough."""
