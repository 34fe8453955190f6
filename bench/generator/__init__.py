"""Opening talks made from real game trees, with every frame and fault of real speech: see ``generate_talks.py``."""
