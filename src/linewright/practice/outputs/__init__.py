"""What leaves the house of drills: the page, the sheet to print, cards for other programs."""
