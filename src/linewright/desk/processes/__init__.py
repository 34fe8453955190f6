"""The desk's long jobs and the processes they run in."""
