"""Drills, when they are asked again, and classes of pupils.

The doors are ``drills.drill_maker.make_drills``, ``outputs`` (page, sheet, cards) and ``classes.store.Store``.
"""
