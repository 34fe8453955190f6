"""The games base and the starter table: adding, index, queries, reports, patterns, quotes, names, the base in parts.

The only door for others is :mod:`linewright.games.api`.
"""
