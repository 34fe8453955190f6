"""What leaves the house: annotated PGN and the lesson page."""
