"""The stages put together: reading, checking and building a lesson or a course. The only place that does so."""
