"""The drawings: pure functions from a result to SVG. Each module answers one question and gives its numbers as a table too."""
