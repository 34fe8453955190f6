"""Changing or writing out a whole base: exporting, removing a source, upgrading. Doors: ``games.api``'s functions."""
