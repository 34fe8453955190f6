"""What leaves the house, made from a lesson and its findings: page, course, hand-out, film, texts.

The door is ``outputs.lesson_files`` (a lesson to bytes); ``build`` alone writes them into a folder.
"""
