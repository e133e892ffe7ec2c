"""One larder year as data."""
