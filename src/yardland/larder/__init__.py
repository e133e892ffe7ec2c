"""The larder: needs, foods, stores and feed as one linear program over a larder year, and why it is short."""
