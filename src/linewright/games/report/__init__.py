"""What the games know of a position, with scores, trends, plans and model games."""
