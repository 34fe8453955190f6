"""Questions about positions, games and players, asked of a base's tables and of what is loaded from them.

The door is :class:`linewright.games.games_base.GamesBase`; :class:`.loaded_games.LoadedGames` is what it hands round.
"""
