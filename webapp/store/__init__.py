"""The store: episodes kept in SQLite or PostgreSQL, their changes, episode files and backups."""
