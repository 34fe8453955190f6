"""When what is asked again: states of memory, days, the log of answers."""
