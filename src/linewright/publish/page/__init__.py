"""The lesson page and the page of a plan."""
