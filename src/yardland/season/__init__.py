"""How the year runs: weather into growth into harvest, herds and grass, then the larder's months."""
