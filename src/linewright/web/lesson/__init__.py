"""The lesson page's script."""
