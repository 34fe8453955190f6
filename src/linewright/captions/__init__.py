"""Corrected captions: subtitles, and every correction with its reason."""
