"""The hand-out for paper: the lesson as a book sets it, exercises, what to remember.

The door is ``handout.handout_pdf``; ``book.book`` gives the lines for other outputs too.
"""
