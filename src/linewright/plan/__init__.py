"""What to teach, what a talk covers, what has changed, and where pupils' games left the lesson."""
