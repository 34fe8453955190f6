"""Names of players: spellings of one player, likeness, looking a name up.

Doors: ``name_lookup``, ``name_similarity`` and ``name_spellings``, each on its own.
"""
