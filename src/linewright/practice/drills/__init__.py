"""Drills made from a walk, and what is said to their answers."""
