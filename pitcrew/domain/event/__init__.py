"""The event: schedule files, local time, debriefs."""
