"""A course: several lessons as one tree, and its first page.

The door is ``course_page.course_files``.
"""
