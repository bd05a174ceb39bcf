"""What follows for this minute: due checks, readiness, turnaround, walks, snapshot."""
