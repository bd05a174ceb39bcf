"""LAW: Flask lives here: who asks, which page, which status. Reads the state, never scans the
log."""
