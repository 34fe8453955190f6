"""Linewright reads a chess trainer's talk off against the board and makes it into a lesson."""

__version__ = "0.1.0"
