"""What the games know of a position: scores, trends, plans, model games.

Doors: ``position_report.study`` and ``model_games.rank``.
"""
