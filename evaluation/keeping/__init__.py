"""Nothing lost: backups by command, and the copies the app makes of itself."""
