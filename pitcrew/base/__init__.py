"""LAW: what every room may use: entries, units, the clock, errors, settings, places. Knows none of
the rooms above."""
