"""Pure folds of the year's flows and events."""
