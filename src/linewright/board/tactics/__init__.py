"""Tactics, one move deep: attacks, exchanges on a square, motifs, threats, forced mates.

The doors are the modules' own functions; deeper things are an engine's.
"""
