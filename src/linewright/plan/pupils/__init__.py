"""Where pupils' games left the lesson."""
