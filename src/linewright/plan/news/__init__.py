"""What has changed since a talk was last checked."""
