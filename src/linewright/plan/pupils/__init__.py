"""Where pupils' games left the lesson; :mod:`linewright.plan.pupils.leavings` is the door."""
