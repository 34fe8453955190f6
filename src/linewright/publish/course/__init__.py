"""A course: several lessons as one tree, and its first page."""
