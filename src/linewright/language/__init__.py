"""Words apart from what they are used for: numbers, lists of phrases, templates; a folder of data a language.

Doors: ``tables.load`` gives a language's tables, ``wordings.wording`` compiled templates, ``tokens`` takes words apart.
"""
