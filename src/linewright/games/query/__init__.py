"""Questions about a position or a player, asked of the base's tables."""
