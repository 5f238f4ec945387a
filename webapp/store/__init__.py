"""The store: episodes kept in one SQLite file, their changes, episode files and backups."""
