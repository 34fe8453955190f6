"""``linewright base …``: adding games, and asking what is played; :mod:`linewright.cli.base.commands` is the door."""
