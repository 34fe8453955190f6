"""Which game a half-remembered description means: its parser, the search, and what differs.

Doors: ``quote_parser.parse_description``, ``quote_search.find_quoted``, ``meetings.meetings``.
"""
