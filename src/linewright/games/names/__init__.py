"""Names of players: spellings of one player, likeness, and looking a name up."""
