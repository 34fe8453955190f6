"""Drills made from a walk: what the lesson teaches, asked back.

The door is ``drill_maker.make_drills``; each ``*_drills`` module asks one sort of question.
"""
