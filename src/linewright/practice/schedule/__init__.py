"""A pupil's log of answers, and what a trainer sets for when drills are asked again.

The doors are ``log`` (entries, and which of them count) and ``fit.fitted``; the page plans the days.
"""
