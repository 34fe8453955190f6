"""One module a step, named for its revision."""
