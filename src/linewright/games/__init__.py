"""The games base; :mod:`linewright.games.api` is its only door."""
