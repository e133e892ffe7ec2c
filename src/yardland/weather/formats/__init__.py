"""Published formats of weather files: each reader gives days in SI units, the station of the header, and what it did."""
