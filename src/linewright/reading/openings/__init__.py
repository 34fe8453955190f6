"""Openings named in a talk, and the lines that their names mean."""
