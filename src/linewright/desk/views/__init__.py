"""What is known of a talk or a position as a page shows it: messages made of walks, findings, games, scenes.

Pure but for :class:`linewright.desk.views.evidence.Evidence`, which asks the games base.
"""
