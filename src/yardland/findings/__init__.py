"""What is wrong, dangerous, against a rule, short or tight; each with number, cause, remedy and source."""
