"""A daily weather generator: fitted to a record or to normals, drawn by seed and year, compared with its record."""
