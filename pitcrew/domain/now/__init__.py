"""What follows for this minute: due checks, readiness, turnaround, the one view, snapshot."""
