"""From PGN files to checked games in a base's tables.

Doors: ``adding.add_games``, and ``file_games.read_game_file`` for games that aren't added.
"""
