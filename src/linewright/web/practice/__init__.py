"""The practice page's scripts, style and template."""
