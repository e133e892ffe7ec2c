"""The command line: thin doors to the rooms."""
