"""Changing or writing out a whole base.

Doors: ``exporting.export_games``, ``removing.remove_source``, ``upgrading.upgrade_base``.
"""
