"""Scripts and styles of the pages: board element, lesson page, desk, practice."""
