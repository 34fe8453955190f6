"""Which game a telling means: its parser, the search and what differs."""
