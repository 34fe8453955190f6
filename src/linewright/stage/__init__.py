"""What is filmed: script, scene, runs, rehearsal, recording in step. Knows nothing of the desk."""
