"""What is given to pupils: the practice page, the sheet to print, cards for other programs.

The doors are ``practice_page.practice_page``, ``sheet.sheet_pdf`` and ``cards.cards_csv``.
"""
