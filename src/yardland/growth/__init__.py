"""What crops, swards and trees do in a day and a year."""
