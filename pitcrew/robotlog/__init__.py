"""LAW: a robot's own log, from text to numbers. Knows neither the formulas nor the store nor the
domain."""
