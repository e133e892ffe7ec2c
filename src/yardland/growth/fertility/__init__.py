"""The soil by the year: carbon, phosphorus, potassium, acidity. Pure functions on arrays."""
