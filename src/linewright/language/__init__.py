"""Words apart from what they are used for: numbers, lists of phrases, templates; a folder of data a language."""
