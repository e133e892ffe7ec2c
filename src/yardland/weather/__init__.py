"""Weather: records in with their gaps named, evapotranspiration, sun, normals, climate, larder years."""
