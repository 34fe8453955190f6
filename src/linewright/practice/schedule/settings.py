"""What a trainer sets for when drills are asked again, and its bounds.

The days themselves are planned by the page (``web/practice/plan.js`` and ``fsrs.js``), so that it works without a
server; ``tests/practice`` checks its model of memory against the ``fsrs`` library.
"""

from __future__ import annotations

#: The chance (0-1) of remembering at which a drill is asked again, unless the trainer sets another. The library's
#: default.
RETENTION = 0.9
#: Chances that make sense: below, most is forgotten; above, everything is asked nearly every day.
LEAST_RETENTION, MOST_RETENTION = 0.7, 0.97
#: Minutes a day that a pupil has, unless set.
MINUTES = 10
#: The longest interval in days: a season on, a lesson has been given again.
LONGEST = 365
#: Milliseconds of a day.
DAY = 86_400_000
