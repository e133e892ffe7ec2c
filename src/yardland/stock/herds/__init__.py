"""Herds over many years: whole heads by week, with births, sexes and deaths drawn."""
