"""Plan files of the invented example yards."""
