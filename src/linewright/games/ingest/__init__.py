"""Games on their way into the base, out of it again, and the work file in between."""
