"""The batteries: records, condition, wiring, which one to take next."""
