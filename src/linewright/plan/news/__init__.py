"""What has changed since a talk was last checked; :mod:`linewright.plan.news.talk_changes` is the door."""
