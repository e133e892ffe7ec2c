"""Faces on paper and screen: drawings from results to SVG, and one self-contained HTML report."""
