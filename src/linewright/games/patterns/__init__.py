"""Positions described in words: the parser and the search.

Doors: ``pattern_parser.parse_pattern`` and ``pattern_search.find_pattern``.
"""
