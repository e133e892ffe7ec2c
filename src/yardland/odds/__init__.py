"""The statistics of many years: shares with their intervals, looks, differences, spells of want, levels of knowledge.

Pure functions on arrays. A chain of larder years is the sampling unit: its years share stores and are not independent.
"""
