"""Practice: drills made from a walk, their scheduling for each pupil, and where classes are kept."""
