"""What the entries say: facts, state, runs, faults, people, corrections, the moment."""
