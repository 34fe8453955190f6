"""What would keep pages waiting, in processes of its own: reading, the engine, the recogniser, long jobs.

The doors are the classes that :class:`linewright.desk.state.Desk` holds: Readings, EngineRoom, Ear, Jobs.
"""
