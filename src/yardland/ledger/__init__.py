"""Accounts, arcs and months: the books that every room above keeps."""
