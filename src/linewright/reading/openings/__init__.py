"""Openings named in a talk, and the lines that their names mean.

Door: ``opening_names.find_openings``.
"""
